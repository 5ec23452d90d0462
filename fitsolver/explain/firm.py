"""How far a reading, a window edge or a piston's tolerance may move before the pick changes.

Every trial solves the whole job with one figure changed, down to the choice of parts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from typing import Final

from fitsolver.base.deadline import Clock
from fitsolver.base.running import in_time, look
from fitsolver.choices.candidates import shelf
from fitsolver.choices.options import choices
from fitsolver.choices.parts import Shelf
from fitsolver.choices.selection import CylinderSelection
from fitsolver.explain.changed_figures import grown, narrowed, widened
from fitsolver.explain.kept_surely import (
    clean_until,
    kept_while_moved_in,
    kept_while_read_larger,
)
from fitsolver.explain.outgrown import Changed, Outgrown
from fitsolver.explain.smallest_change import Change, Pick, smallest_change
from fitsolver.metrology.form import bore_form, deciding
from fitsolver.records.base import THOUSANDTHS
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.firm import Margin, Picked
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import CylinderPlan, Fit, Plan
from fitsolver.records.windows import Window, find_window
from fitsolver.records.words import fit_name
from fitsolver.solving.by_itself import fits_alone, single
from fitsolver.solving.possible import OWN_RULES
from fitsolver.solving.problem import Problem
from fitsolver.solving.solve import Solution, best

#: How far a figure is followed where no larger size of the catalogue says how far: 1 mm.
FAR: Final = 100_000


def pick_of(
    job: Job, catalogue: Catalogue, parts: Shelf | None = None, expected: int | None = None
) -> Pick:
    """Return what is picked for a job; `parts` stand for its own where given.

    `expected` is a likely largest removal (ticks): options up to it come first.
    """
    parts = shelf(job, catalogue) if parts is None else parts
    task = Problem(job, catalogue, parts, choices(job, catalogue, parts))
    return _pick(job, best(task, expected=expected, parts_only=True))


def _pick(job: Job, found: Solution) -> Pick:
    if found.selection is None:
        return None
    return tuple(
        _picked(cylinder, chosen)
        for cylinder, chosen in zip(job.cylinders, found.selection.cylinders, strict=True)
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


def firm_margins(
    job: Job, catalogue: Catalogue, plan: Plan, now: Pick, clock: Clock
) -> tuple[tuple[Margin, ...], bool]:
    """Return the margin of every largest reading, edge and skirt of a job's best plan, as far as
    found before the time is over; and whether these are all.

    `job` is at 20 °C with its guards, which stay as they are. `now` is the pick of the job.
    The clock is told which figure is followed.
    """
    return in_time(_margins(job, catalogue, plan, now, clock), clock)


def _margins(
    job: Job, catalogue: Catalogue, plan: Plan, now: Pick, clock: Clock
) -> Iterator[Margin]:
    search = _Search(job, catalogue, plan, now, clock)
    yield from search.readings(smaller=False)
    yield from search.readings(smaller=True)
    yield from search.edges()
    yield from search.skirts()


class _Search:
    def __init__(self, job: Job, catalogue: Catalogue, plan: Plan, now: Pick, clock: Clock) -> None:
        self.job, self.catalogue, self.plan, self.now = job, catalogue, plan, now
        self.clock = clock
        self.parts = shelf(job, catalogue)
        self.stated = {part.number: part.stated for part in catalogue.pistons}
        self.stated |= {part.number: part.stated for part in catalogue.rings}
        self.removal = max(item.removal for item in plan.cylinders)
        selection = self._solved(job, self.parts, 0, ()).selection
        assert selection is not None
        self.outgrown = Outgrown.of(job, catalogue, selection)

    def _solved(self, job: Job, parts: Shelf, more: int, changed: Collection[str]) -> Solution:
        """Return the best parts of a changed job; removal likely grows by `more` (ticks) at most.

        Where a cylinder that is `changed` has no choice by itself, nothing fits.
        """
        look()
        task = Problem(job, self.catalogue, parts, choices(job, self.catalogue, parts))
        for state in task.cylinders:
            if state.name in changed and not fits_alone(single(task, state), OWN_RULES):
                return Solution(None, (), settled=True)
        return best(task, expected=self.removal + more, parts_only=True)

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

            self.clock.tell(f"largest reading, cylinder {cylinder.name}")
            yield self._margin(
                self._read(cylinder, item, reach, smaller=smaller),
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

    def _read(self, cylinder: Cylinder, item: CylinderPlan, reach: int, *, smaller: bool) -> Change:
        kept = 0
        if not smaller:
            kept = kept_while_read_larger(self.job, self.catalogue, cylinder, item)

        def changed(more: int) -> tuple[Job, Shelf]:
            return self._with(grown(self.job, cylinder, -more if smaller else more)), self.parts

        return self._smallest(
            changed, {cylinder.name}, reach, self._used_up(cylinder, item), kept=kept
        )

    def _smallest(
        self,
        changed: Changed,
        cylinders: Collection[str],
        reach: int,
        slacks: frozenset[int],
        *,
        kept: int = 0,
        first: int = 1,
    ) -> Change:
        """Return the smallest change that alters the pick; none up to `kept` (ticks) does."""

        def pick_at(more: int) -> Pick:
            if more <= kept:
                return self.now
            return _pick(self.job, self._solved(*changed(more), more, cylinders))

        gone = self.outgrown.at(changed, cylinders, reach)
        return smallest_change(pick_at, self.now, reach, slacks, first, gone)

    def _used_up(self, cylinder: Cylinder, item: CylinderPlan) -> frozenset[int]:
        """Return by how much a reading may change until it uses up the slack of some fit.

        The bore after the work follows the largest reading once it only just cleans up.
        """
        slacks = _slacks(item)
        ahead = clean_until(self.catalogue, cylinder, item)
        return slacks if ahead is None else slacks | {ahead + slack for slack in slacks}

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

        under = [i for i in self.plan.cylinders if i.cylinder in cylinders]
        own = _own_slack(window, side, under)
        kept = kept_while_moved_in(self.job, window, side, own)
        words = fit_name(fit.fit, window.groove)
        self.clock.tell(f"{words}, {side}, cylinder {', '.join(cylinders)}")

        def changed(more: int) -> tuple[Job, Shelf]:
            return narrowed(self.job, window, side, of_kept, more), self.parts

        slacks = frozenset.union(*map(_slacks, under))
        return self._margin(
            self._smallest(changed, cylinders, reach, slacks | {own}, kept=kept, first=max(1, own)),
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

            self.clock.tell(f"skirt of {key[0]}")

            def changed(more: int, key: tuple[str, str] = key) -> tuple[Job, Shelf]:
                return self.job, widened(self.parts, key, more)

            skirt = items[0].skirt
            slacks = frozenset.union(*map(_slacks, items))
            yield self._margin(
                self._smallest(changed, [item.cylinder for item in items], reach, slacks),
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
