"""How far a reading, an edge of a window or a piston's tolerance may go before the pick changes.

Every figure tried is a whole solve of the job with that one figure changed.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from fitsolver.candidates import Candidate, Shelf, shelf
from fitsolver.metrology.form import bore_form
from fitsolver.options import choices
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.firm import Margin, Narrowed, Picked
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import CylinderPlan, Fit, Plan
from fitsolver.records.windows import Window, find_window
from fitsolver.selection import CylinderSelection
from fitsolver.solving.problem import Problem
from fitsolver.solving.solve import best

#: What is picked for every cylinder, in job order; None where nothing fits.
Pick = tuple[Picked, ...] | None

#: An edge nearly binds where the fit comes nearer to it than a tenth of the window, or 10 µm.
NEAR_SHARE: Final = 10
NEAR: Final = 1_000
#: How far a figure is followed where no larger size of the catalogue says how far: 1 mm.
FAR: Final = 100_000


@dataclass(frozen=True, slots=True)
class Change:
    """The smallest change found (ticks) and the pick then; None: none up to the reach."""

    margin: int | None
    pick: Pick


def smallest_change(pick_at: Callable[[int], Pick], now: Pick, reach: int) -> Change:
    """Return the smallest change up to `reach` (ticks) that is found to alter the pick.

    Steps of 1, 2, 4, ... ticks until the pick differs, then halving between the last step
    that kept it and the first that did not. So the pick is kept one tick before the change
    returned, and at every smaller change that was tried.
    """
    kept, step = 0, 1
    while kept < reach:
        tried = min(step, reach)
        changed = pick_at(tried)
        if changed != now:
            break
        kept, step = tried, 2 * step
    else:
        return Change(None, now)
    while tried - kept > 1:
        middle = (kept + tried) // 2
        found = pick_at(middle)
        if found == now:
            kept = middle
        else:
            tried, changed = middle, found
    return Change(tried, changed)


def pick_of(job: Job, catalogue: Catalogue, parts: Shelf | None = None) -> Pick:
    """Return what is picked for a job; `parts` stand for its own where given."""
    parts = shelf(job, catalogue) if parts is None else parts
    found = best(Problem(job, catalogue, parts, choices(job, catalogue, parts))).selection
    if found is None:
        return None
    return tuple(
        _picked(cylinder, chosen)
        for cylinder, chosen in zip(job.cylinders, found.cylinders, strict=True)
    )


def _picked(cylinder: Cylinder, chosen: CylinderSelection) -> Picked:
    return Picked(
        cylinder=cylinder.name,
        piston=_named(chosen.option.piston.candidate),
        rings=tuple(_named(ring.candidate) for _, ring in sorted(chosen.rings.items())),
        gaskets=tuple(
            number
            for stack in chosen.stacks.values()
            for number in sorted(Counter(stack).elements())
        ),
        route=chosen.option.route.route.name,
    )


def _named(candidate: Candidate) -> str:
    return candidate.part.number + (f" ({candidate.piece})" if candidate.piece else "")


def firm_margins(job: Job, catalogue: Catalogue, plan: Plan, now: Pick) -> tuple[Margin, ...]:
    """Return the margin of every largest reading, near edge and skirt of a job's best plan.

    `job` is at 20 °C with its guards, which stay as they are. `now` is the pick of the job.
    """
    search = _Search(job, catalogue, plan, now)
    return (*search.readings(), *search.edges(), *search.skirts())


class _Search:
    def __init__(self, job: Job, catalogue: Catalogue, plan: Plan, now: Pick) -> None:
        self.job, self.catalogue, self.plan, self.now = job, catalogue, plan, now

    def readings(self) -> Iterator[Margin]:
        for cylinder, item in zip(self.job.cylinders, self.plan.cylinders, strict=True):
            largest = None
            value = cylinder.finished_size or 0
            if cylinder.readings:
                largest = bore_form(cylinder, self.job.convention).largest_at
                value = largest.size
            reach = self._reach(item, value, self.job.bore_limit_for(cylinder))

            def pick_at(more: int, cylinder: Cylinder = cylinder) -> Pick:
                return pick_of(self._with(_grown(self.job, cylinder, more)), self.catalogue)

            yield self._margin(
                smallest_change(pick_at, self.now, reach),
                Margin(
                    what="largest reading",
                    cylinders=(cylinder.name,),
                    depth=None if largest is None else largest.depth,
                    angle=None if largest is None else largest.angle,
                    value=value,
                    margin=None,
                    reach=reach,
                ),
            )

    def _with(self, cylinder: Cylinder) -> Job:
        cylinders = tuple(cylinder if c.name == cylinder.name else c for c in self.job.cylinders)
        return self.job.model_copy(update={"cylinders": cylinders})

    def _reach(self, item: CylinderPlan, size: int, limit: int | None) -> int:
        """Return how far it is to the next larger nominal bore, or just past the bore limit."""
        larger = [p.nominal_bore for p in self.catalogue.pistons]
        ahead = [bore - size for bore in larger if bore > max(item.nominal_bore, size)]
        ahead += [limit + 1 - size] if limit is not None and limit >= size else []
        return min(ahead, default=FAR)

    def edges(self) -> Iterator[Margin]:
        seen: dict[tuple[Window, str, bool], list[str]] = {}
        lines: dict[tuple[Window, str, bool], tuple[Fit, CylinderPlan]] = {}
        for cylinder, item in zip(self.job.cylinders, self.plan.cylinders, strict=True):
            for fit in item.fits:
                window = find_window(self.job.windows_for(cylinder), fit.fit, fit.groove)
                for side in _near_edges(fit, window):
                    assert window is not None
                    of_kept = fit.service and getattr(window, f"service_{side}") is not None
                    key = (window.model_copy(update={"guard": 0}), side, of_kept)
                    names = seen.setdefault(key, [])
                    if item.cylinder not in names:
                        names.append(item.cylinder)
                    lines.setdefault(key, (fit, item))
        for key, names in seen.items():
            yield self._edge(*key, names, *lines[key])

    def _edge(
        self,
        window: Window,
        side: str,
        of_kept: bool,
        cylinders: Sequence[str],
        fit: Fit,
        item: CylinderPlan,
    ) -> Margin:
        low, high = fit.low, fit.high
        reach = FAR if low is None or high is None else max(1, high - low + 1)
        value = low if side == "low" else high
        assert value is not None

        def pick_at(more: int) -> Pick:
            return pick_of(_narrowed(self.job, window, side, of_kept, more), self.catalogue)

        return self._margin(
            smallest_change(pick_at, self.now, reach),
            Margin(
                what="lowest edge" if side == "low" else "highest edge",
                cylinders=tuple(cylinders),
                fit=fit.fit,
                groove=window.groove,
                part=fit.part if of_kept else "",
                source=window.source,
                value=value,
                margin=None,
                reach=reach,
            ),
        )

    def skirts(self) -> Iterator[Margin]:
        parts = shelf(self.job, self.catalogue)
        found: dict[tuple[str, str], list[CylinderPlan]] = {}
        for item in self.plan.cylinders:
            found.setdefault((item.piston.number, item.piston.piece), []).append(item)
        for key, items in found.items():
            reach = max(1, min(self._reach(i, i.nominal_bore, None) for i in items))

            def pick_at(more: int, key: tuple[str, str] = key) -> Pick:
                return pick_of(self.job, self.catalogue, _widened(parts, key, more))

            skirt = items[0].skirt
            yield self._margin(
                smallest_change(pick_at, self.now, reach),
                Margin(
                    what="skirt tolerance",
                    cylinders=tuple(item.cylinder for item in items),
                    part=key[0] + (f" ({key[1]})" if key[1] else ""),
                    value=skirt.high - skirt.low,
                    margin=None,
                    reach=reach,
                ),
            )

    def _margin(self, change: Change, margin: Margin) -> Margin:
        if change.margin is None:
            return margin
        now, then = self.now or (), change.pick or ()
        return margin.model_copy(
            update={
                "margin": change.margin,
                "becomes": tuple(item for item in then if item not in now),
                "no_plan": change.pick is None,
            }
        )


def _grown(job: Job, cylinder: Cylinder, more: int) -> Cylinder:
    """Return the cylinder with its largest deciding reading so much larger (ticks)."""
    if not cylinder.readings:
        return cylinder.model_copy(update={"finished_size": (cylinder.finished_size or 0) + more})
    largest = bore_form(cylinder, job.convention).largest_at
    place = cylinder.readings.index(largest)
    readings = list(cylinder.readings)
    readings[place] = largest.model_copy(update={"size": largest.size + more})
    return cylinder.model_copy(update={"readings": tuple(readings)})


def _near_edges(fit: Fit, window: Window | None) -> Iterator[str]:
    """Yield the edges of a window, `low` or `high`, to which a fit comes near."""
    if window is None:
        return
    near = NEAR
    if fit.low is not None and fit.high is not None:
        near = max(near, (fit.high - fit.low) // NEAR_SHARE)
    low, high = window.stated(1, kept=fit.service)
    if low is not None and fit.slack_low is not None and fit.slack_low <= near:
        yield "low"
    if fit.fit == "ring_seat" and fit.source != window.source:
        return  # the ring's own limit lies further in
    if high is not None and fit.slack_high is not None and fit.slack_high <= near:
        yield "high"


def _narrowed(job: Job, window: Window, side: str, of_kept: bool, more: int) -> Job:
    """Return the job with one edge of a window so much further in, wherever it holds."""

    def changed(windows: Sequence[Window]) -> tuple[Window, ...]:
        return tuple(
            Narrowed.model_construct(
                **{name: getattr(each, name) for name in Window.model_fields},
                raised=more if side == "low" else 0,
                lowered=more if side == "high" else 0,
                of_kept=of_kept,
            )
            if each.model_copy(update={"guard": 0}) == window
            else each
            for each in windows
        )

    cylinders = tuple(
        cylinder.model_copy(update={"windows": changed(cylinder.windows)})
        for cylinder in job.cylinders
    )
    return job.model_copy(update={"windows": changed(job.windows), "cylinders": cylinders})


def _widened(parts: Shelf, key: tuple[str, str], more: int) -> Shelf:
    """Return the shelf with one piston's skirt so much wider on each side."""
    return replace(
        parts,
        pistons=tuple(
            replace(p, skirt=Range(low=p.skirt.low - more, high=p.skirt.high + more))
            if p.key == key
            else p
            for p in parts.pistons
        ),
    )
