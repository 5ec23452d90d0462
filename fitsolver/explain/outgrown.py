"""The change of a figure from which the picked parts no longer serve their cylinder.

From there on the pick certainly differs; arithmetic shows it without a solve. Coupling rules and
the picked gaskets are ignored, so the pick may change earlier.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, replace

from fitsolver.choices.options import choices
from fitsolver.choices.parts import Shelf
from fitsolver.choices.selection import CylinderSelection, Selection
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.solving.by_itself import fits_alone, single
from fitsolver.solving.possible import OWN_RULES
from fitsolver.solving.problem import Problem

#: A job and its shelf with one figure changed by some ticks.
Changed = Callable[[int], tuple[Job, Shelf]]


@dataclass(frozen=True, slots=True)
class Outgrown:
    """The parts that a job's best plan has, by cylinder."""

    catalogue: Catalogue
    chosen: dict[str, CylinderSelection]

    @classmethod
    def of(cls, job: Job, catalogue: Catalogue, selection: Selection) -> Outgrown:
        names = (cylinder.name for cylinder in job.cylinders)
        return cls(catalogue, dict(zip(names, selection.cylinders, strict=True)))

    def at(self, changed: Changed, cylinders: Collection[str], reach: int) -> int | None:
        """Return a change up to `reach` (ticks) at which one of the cylinders has outgrown its
        parts, a tick less at which none has; None where none has at the end."""
        if not self._has(*changed(reach), cylinders):
            kept, gone = 0, reach
            while gone - kept > 1:
                middle = (kept + gone) // 2
                if self._has(*changed(middle), cylinders):
                    kept = middle
                else:
                    gone = middle
            return gone
        return None

    def _has(self, job: Job, parts: Shelf, cylinders: Collection[str]) -> bool:
        """Tell whether every one of these cylinders can be done with its parts, by itself."""
        return all(
            self._alone(job.model_copy(update={"cylinders": (cylinder,)}), parts)
            for cylinder in job.cylinders
            if cylinder.name in cylinders
        )

    def _alone(self, job: Job, parts: Shelf) -> bool:
        chosen = self.chosen[job.cylinders[0].name]
        piston = chosen.option.piston.candidate.key
        rings = {ring.candidate.key for ring in chosen.rings.values()}
        few = replace(
            parts,
            pistons=tuple(p for p in parts.pistons if p.key == piston),
            rings=tuple(ring for ring in parts.rings if ring.key in rings),
        )
        (state,) = choices(job, self.catalogue, few)
        route = chosen.option.route.route.name
        state = replace(state, routes=tuple(r for r in state.routes if r.route.name == route))
        return fits_alone(single(Problem(job, self.catalogue, few, (state,)), state), OWN_RULES)
