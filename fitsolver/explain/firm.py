"""How far a reading, an edge of a window or a piston's tolerance may go before the pick changes.

Every figure tried is a whole solve of the job with that one figure changed, as far as its parts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Final

from fitsolver.choices.candidates import shelf
from fitsolver.choices.options import choices
from fitsolver.choices.parts import Shelf
from fitsolver.choices.selection import CylinderSelection
from fitsolver.explain.changed_figures import grown, narrowed, widened
from fitsolver.explain.smallest_change import Change, Pick, smallest_change
from fitsolver.fits import clean_up
from fitsolver.metrology.form import bore_form, deciding, extremes
from fitsolver.records.base import THOUSANDTHS
from fitsolver.records.catalogue import Catalogue, Piston, Ring
from fitsolver.records.firm import Margin, Picked
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import CylinderPlan, Fit, Plan
from fitsolver.records.windows import Window, find_window
from fitsolver.solving.problem import Problem
from fitsolver.solving.solve import best

#: How far a figure is followed where no larger size of the catalogue says how far: 1 mm.
FAR: Final = 100_000


def pick_of(
    job: Job, catalogue: Catalogue, parts: Shelf | None = None, expected: int | None = None
) -> Pick:
    """Return what is picked for a job; `parts` stand for its own where given.

    `expected` is a largest removal (ticks) that the pick is likely to keep within: up to it the
    options are looked at first.
    """
    parts = shelf(job, catalogue) if parts is None else parts
    task = Problem(job, catalogue, parts, choices(job, catalogue, parts))
    found = best(task, expected=expected, parts_only=True).selection
    if found is None:
        return None
    return tuple(
        _picked(cylinder, chosen)
        for cylinder, chosen in zip(job.cylinders, found.cylinders, strict=True)
    )


def _picked(cylinder: Cylinder, chosen: CylinderSelection) -> Picked:
    return Picked(
        cylinder=cylinder.name,
        piston=chosen.option.piston.candidate.named,
        rings=tuple(ring.candidate.named for _, ring in sorted(chosen.rings.items())),
        gaskets=tuple(
            number
            for stack in chosen.stacks.values()
            for number in sorted(Counter(stack).elements())
        ),
        route=chosen.option.route.route.name,
    )


def firm_margins(job: Job, catalogue: Catalogue, plan: Plan, now: Pick) -> tuple[Margin, ...]:
    """Return the margin of every largest reading, edge and skirt of a job's best plan.

    `job` is at 20 °C with its guards, which stay as they are. `now` is the pick of the job.
    """
    search = _Search(job, catalogue, plan, now)
    return (
        *search.readings(smaller=False),
        *search.readings(smaller=True),
        *search.edges(),
        *search.skirts(),
    )


class _Search:
    def __init__(self, job: Job, catalogue: Catalogue, plan: Plan, now: Pick) -> None:
        self.job, self.catalogue, self.plan, self.now = job, catalogue, plan, now
        self.parts = shelf(job, catalogue)
        parts: tuple[Piston | Ring, ...] = (*catalogue.pistons, *catalogue.rings)
        self.stated = {part.number: part.stated for part in parts}
        self.removal = max(item.removal for item in plan.cylinders)

    def _pick_at(self, job: Job, more: int, parts: Shelf | None = None) -> Pick:
        """Return the pick of a changed job; with the same parts it removes so much more at most."""
        return pick_of(job, self.catalogue, parts or self.parts, self.removal + more)

    def readings(self, *, smaller: bool) -> Iterator[Margin]:
        for cylinder, item in zip(self.job.cylinders, self.plan.cylinders, strict=True):
            largest = None
            value = cylinder.finished_size or 0
            if cylinder.readings:
                largest = bore_form(cylinder, self.job.convention).largest_at
                value = largest.size
            reach = self._reach(item, value, self.job.bore_limit_for(cylinder))
            if smaller:
                reach = self._reach_down(cylinder, value)
            if not reach:
                continue

            def pick_at(more: int, cylinder: Cylinder = cylinder) -> Pick:
                changed = grown(self.job, cylinder, -more if smaller else more)
                return self._pick_at(self._with(changed), more)

            yield self._margin(
                smallest_change(pick_at, self.now, reach, self._used_up(cylinder, item)),
                Margin(
                    what="largest reading",
                    cylinders=(cylinder.name,),
                    smaller=smaller,
                    depth=None if largest is None else largest.depth,
                    angle=None if largest is None else largest.angle,
                    value=value,
                    margin=None,
                    reach=reach,
                ),
            )

    def _used_up(self, cylinder: Cylinder, item: CylinderPlan) -> frozenset[int]:
        """Return by how much a reading may change until it uses up the slack of some fit.

        The bore after the work follows the largest reading once it only just cleans up.
        """
        slacks = _slacks(item)
        route = next((r for r in self.catalogue.routes if r.name == item.route), None)
        if not item.machined or route is None:
            return slacks
        clean = clean_up.least_local_size(route, extremes(cylinder)[1], cylinder.scratch)
        ahead = max(0, item.bore_low - clean)
        return slacks | {ahead + slack for slack in slacks}

    def _with(self, cylinder: Cylinder) -> Job:
        cylinders = tuple(cylinder if c.name == cylinder.name else c for c in self.job.cylinders)
        return self.job.model_copy(update={"cylinders": cylinders})

    def _reach(self, item: CylinderPlan, size: int, limit: int | None) -> int:
        """Return how far it is to the next larger nominal bore, or just past the bore limit."""
        larger = [p.nominal_bore for p in self.catalogue.pistons]
        ahead = [bore - size for bore in larger if bore > max(item.nominal_bore, size)]
        ahead += [limit + 1 - size] if limit is not None and limit >= size else []
        return min(ahead, default=FAR)

    def _reach_down(self, cylinder: Cylinder, size: int) -> int:
        """Return how far it is down to the smallest reading; to the next smaller nominal bore
        where all are one size."""
        sizes = [reading.size for reading in deciding(cylinder)]
        if len(set(sizes)) > 1:
            return size - min(sizes)
        nominal = [p.nominal_bore for p in self.catalogue.pistons]
        return min((size - bore for bore in nominal if bore < size), default=0)

    def edges(self) -> Iterator[Margin]:
        seen: dict[tuple[Window, str, bool], list[str]] = {}
        lines: dict[tuple[Window, str, bool], tuple[Fit, CylinderPlan]] = {}
        for cylinder, item in zip(self.job.cylinders, self.plan.cylinders, strict=True):
            for fit in item.fits:
                if fit.fit in THOUSANDTHS:
                    continue  # no length: what moves it, readings and skirts, is followed
                windows, stated = self.job.windows_for(cylinder), self.stated.get(fit.part, ())
                window = find_window(windows, fit.fit, fit.groove, stated=stated)
                for side in _stated_edges(fit, window):
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
            return self._pick_at(narrowed(self.job, window, side, of_kept, more), more)

        under = [i for i in self.plan.cylinders if i.cylinder in cylinders]
        own = _own_slack(window, side, under)
        slacks = frozenset.union(*map(_slacks, under))
        return self._margin(
            smallest_change(pick_at, self.now, reach, slacks | {own}, max(1, own)),
            Margin(
                what="lowest edge" if side == "low" else "highest edge",
                cylinders=tuple(cylinders),
                fit=fit.fit,
                groove=window.groove,
                part=fit.part if of_kept or window.part else "",
                source=window.source,
                value=value,
                margin=None,
                reach=reach,
            ),
        )

    def skirts(self) -> Iterator[Margin]:
        found: dict[tuple[str, str], list[CylinderPlan]] = {}
        for item in self.plan.cylinders:
            found.setdefault((item.piston.number, item.piston.piece), []).append(item)
        for key, items in found.items():
            reach = max(1, min(self._reach(i, i.nominal_bore, None) for i in items))

            def pick_at(more: int, key: tuple[str, str] = key) -> Pick:
                return self._pick_at(self.job, more, widened(self.parts, key, more))

            skirt = items[0].skirt
            slacks = frozenset.union(*map(_slacks, items))
            yield self._margin(
                smallest_change(pick_at, self.now, reach, slacks),
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


def _slacks(item: CylinderPlan) -> frozenset[int]:
    """Return the slack of every fit of a cylinder, to either side (ticks)."""
    lines = [fit for fit in item.fits if fit.fit not in THOUSANDTHS]
    found = [slack for fit in lines for slack in (fit.slack_low, fit.slack_high)]
    return frozenset(slack for slack in found if slack is not None and slack >= 0)


def _own_slack(window: Window, side: str, items: Sequence[CylinderPlan]) -> int:
    """Return the least slack to an edge of a window where it holds (ticks)."""
    lines = [fit for item in items for fit in item.fits if fit.fit == window.fit]
    found = [getattr(fit, f"slack_{side}") for fit in lines if window.groove in (None, fit.groove)]
    return max(0, min((slack for slack in found if slack is not None), default=0))


def _stated_edges(fit: Fit, window: Window | None) -> Iterator[str]:
    """Yield the edges of a window, `low` or `high`, that a fit is held to."""
    if window is None:
        return
    low, high = window.stated(1, kept=fit.service)
    if low is not None and fit.slack_low is not None:
        yield "low"
    if fit.fit == "ring_seat" and fit.source != window.source:
        return  # the ring's own limit lies further in
    if high is not None and fit.slack_high is not None:
        yield "high"
