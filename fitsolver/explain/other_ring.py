"""The ring to take or to order, where bore and skirt fit and only rings do not.

The nearest ring is enlarged for a larger bore. Without the edges that ask for a smaller ring,
feasibility on one route is monotone in the ring size. So the smallest size feasible then is the
smallest on that route, if it also keeps those edges.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Final

from fitsolver.base.lengths import format_length
from fitsolver.choices.demands import OF_RINGS_ALONE
from fitsolver.choices.options import options
from fitsolver.choices.types import CylinderChoices, RingOption
from fitsolver.explain.edges import ASK_SMALLER_RING, exact, order_steps
from fitsolver.explain.nearest import Near
from fitsolver.explain.openings import Change, least, never_too_tight, pinned_parts, with_cylinder
from fitsolver.records.catalogue import Catalogue, Ring
from fitsolver.records.job import Job, PinnedRing
from fitsolver.records.windows import Window, find_window
from fitsolver.solving.by_itself import fits_alone
from fitsolver.solving.possible import OWN_RULES
from fitsolver.solving.problem import Problem, problem

#: The search goes up to this distance (ticks: 5 mm) from the nearest ring.
_FARTHEST: Final = 500_000
_WITHOUT_RINGS: Final = OWN_RULES - OF_RINGS_ALONE


def other_rings(single: Problem, near: Near) -> Iterator[Change]:
    """Yield the rings that open the cylinder of a problem: of the catalogue, or to be asked for.

    For one groove where that suffices, else for all; nothing where bore and skirt do not fit.
    """
    state = single.cylinders[0]
    if near.empty or not near.rings or not fits_alone(_bare(single), _WITHOUT_RINGS):
        return
    unpinned = list(_not_pinned(single, state))
    yield from unpinned
    if unpinned:
        return
    found = [change for ring in near.rings for change in _asked_for(single, [ring])]
    yield from found or (_asked_for(single, near.rings) if len(near.rings) > 1 else ())


def _bare(single: Problem) -> Problem:
    """Return the problem without the rings that the job pins."""
    name = single.cylinders[0].name
    return problem(with_cylinder(single.job, name, rings=()), single.catalogue)


def _not_pinned(single: Problem, state: CylinderChoices) -> Iterator[Change]:
    """A ring of the catalogue where the job pins one that does not serve."""
    pins = state.cylinder.rings
    for pin in pins:
        for ring in single.catalogue.rings:
            if ring.number == pin.number or pin.groove not in ring.grooves:
                continue
            other = PinnedRing(groove=pin.groove, number=ring.number)
            changed = tuple(other if each == pin else each for each in pins)
            job = with_cylinder(single.job, state.name, rings=changed)
            if fits_alone(problem(job, single.catalogue), OWN_RULES):
                yield _of_catalogue(state.name, pin, ring, changed)
                break


def _of_catalogue(
    name: str, pin: PinnedRing, ring: Ring, changed: tuple[PinnedRing, ...]
) -> Change:
    return Change(
        "ring",
        1,
        "none",
        f"{ring.number} of the catalogue in groove {pin.groove} instead of {pin.number}",
        lambda job, parts: (with_cylinder(job, name, rings=changed), parts),
        f"ring for groove {pin.groove}",
    )


def _asked_for(single: Problem, nearest: Sequence[RingOption]) -> Iterator[Change]:
    """The smallest rings like the nearest of some grooves that serve them, not in the catalogue."""
    state = single.cylinders[0]
    trial = _Trial(single, nearest)
    steps = [step for choice in state.routes if (step := trial.on_route(choice.route.name))]
    if not steps:
        return
    by = min(steps) - _FARTHEST
    rings = trial.made(by)
    if trial.serves(single.job, trial.made(by - 1)):
        return  # by another of its edges: then no smallest ring is known
    ordered = _to_order(single, trial, by)
    made = _made_for(ordered or rings, lambda ticks: exact(ticks, single))
    grooves = [str(ring.grooves[0]) for ring in rings]
    one = len(rings) == 1
    like = " and ".join(ring.candidate.part.number for ring in nearest)
    yield Change(
        "ring",
        rings[0].gauge_diameter,
        "ticks",
        f"{'a ring' if one else 'rings'} for {made}, not in the catalogue, would serve: else like "
        f"{like}; {_least_of_all(single, ordered, rings)}",
        lambda job, parts: (trial.pinned(job, rings), trial.more(parts, rings)),
        f"ring for groove {', '.join(grooves)}",
    )


def _to_order(single: Problem, trial: _Trial, by: int) -> tuple[Ring, ...] | None:
    """Return the next larger rings in whole steps of oversizes; None where none serve."""
    for step in order_steps(single):
        rings = trial.made(-(-by // step) * step)
        if trial.serves(single.job, rings):
            return rings
    return None


def _made_for(rings: Sequence[Ring], say: Callable[[int], str]) -> str:
    return " and ".join(
        f"groove {ring.grooves[0]} made for a bore of {say(ring.gauge_diameter)}" for ring in rings
    )


def _least_of_all(single: Problem, ordered: Sequence[Ring] | None, rings: Sequence[Ring]) -> str:
    """Return which rings are the smallest that do."""
    unit, one = single.job.unit, len(rings) == 1
    if ordered is None or ordered == rings:
        return f"none made for a smaller bore {'does' if one else 'do'}"
    least_of = " and ".join(
        dict.fromkeys(format_length(r.gauge_diameter, unit, "up", symbol=True) for r in rings)
    )
    return f"the smallest that {'does is' if one else 'do are'} made for {least_of}"


class _Trial:
    """Tries of one cylinder with rings of its own in some grooves."""

    def __init__(self, single: Problem, nearest: Sequence[RingOption]) -> None:
        self.single = single
        [self.state] = single.cylinders
        self.like = [(ring.groove, ring.candidate.part) for ring in nearest]
        named = pinned_parts(single.job)
        fitting = {
            option.piston.candidate.part.number for option in options(self.state, _WITHOUT_RINGS)
        }
        kept = tuple(p for p in single.catalogue.pistons if p.number in fitting | named)
        self.parts = single.catalogue.model_copy(update={"pistons": kept})

    def made(self, by: int) -> tuple[Ring, ...]:
        """Return rings like the nearest, made for a bore larger by `by`, that anybody may have."""
        return tuple(
            part.model_copy(
                update={
                    "number": f"{part.number} (asked for, groove {groove}, cylinder "
                    f"{self.state.name})",
                    "grooves": (groove,),
                    "gauge_diameter": max(1, part.gauge_diameter + by),
                    "price": 0,
                    "lead_days": 0,
                }
            )
            for groove, part in self.like
        )

    def on_route(self, route: str) -> int | None:
        """Return the least step above the farthest smaller ring that serves on a route."""
        job = with_cylinder(self.single.job, self.state.name, route=route)
        eased = with_cylinder(job, self.state.name, windows=self._eased())

        def opens(step: int) -> bool:
            return self.serves(eased, tuple(map(never_too_tight, self._at(step))))

        step = None if opens(0) else least(opens, 2 * _FARTHEST)
        return step if step is not None and self.serves(job, self._at(step)) else None

    def _at(self, step: int) -> tuple[Ring, ...]:
        return self.made(step - _FARTHEST)

    def serves(self, job: Job, rings: tuple[Ring, ...]) -> bool:
        changed = problem(self.pinned(job, rings), self.more(self.parts, rings))
        return fits_alone(changed, OWN_RULES)

    def pinned(self, job: Job, rings: tuple[Ring, ...]) -> Job:
        """Return the job with these rings in their grooves."""
        cylinder = next(each for each in job.cylinders if each.name == self.state.name)
        own = {
            ring.grooves[0]: PinnedRing(groove=ring.grooves[0], number=ring.number)
            for ring in rings
        }
        kept = tuple(pin for pin in cylinder.rings if pin.groove not in own)
        return with_cylinder(job, self.state.name, rings=(*kept, *own.values()))

    @staticmethod
    def more(parts: Catalogue, rings: tuple[Ring, ...]) -> Catalogue:
        return parts.model_copy(update={"rings": (*parts.rings, *rings)})

    def _eased(self) -> tuple[Window, ...]:
        """Return the cylinder's windows without what asks for a smaller ring in these grooves."""
        windows = self.state.windows
        for fit, edge in ASK_SMALLER_RING.items():
            for groove, part in self.like:
                window = find_window(windows, fit, groove, stated=part.stated)
                if window is not None:
                    gone = {edge: None, f"service_{edge}": None, "groove": groove}
                    windows = (window.model_copy(update=gone), *windows)
        return windows
