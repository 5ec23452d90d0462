"""What is left of a cylinder: larger sizes, and the longest chain of rebuilds (docs/ladder.md).

A rebuild finds the bore worn, its largest local size `w` above that of the last finish and its
smallest local size where it was, and machines it to a finish size that fits some piston of the
catalogue whatever its tolerance came to. With `F` the finish and `h` the half-width of the
route, `H`, `L` the local sizes before:

    F - h >= H + w + min_cut        F - L <= max_cut        F + h <= bore limit
    F - h - P_hi >= c_lo            F + h - P_lo <= c_hi

The finishes that can be reached after k rebuilds are whole intervals of ticks; the most
rebuilds is the largest k for which there is one.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from fitsolver.candidates import shelf
from fitsolver.fits import clean_up, route_cut
from fitsolver.options import (
    CylinderChoices,
    Option,
    as_bore,
    choices,
    make_option,
)
from fitsolver.records.base import RuleId
from fitsolver.records.catalogue import Catalogue, Route
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.ladder import CylinderLadder, Rung
from fitsolver.records.plan import CylinderPlan, Plan

_LATER: frozenset[RuleId] = frozenset({"clearance", "bore_limit"})

Span = tuple[int, int]


class Step(NamedTuple):
    """A route, and the finish sizes (ticks, both ends included) that fit some piston on it."""

    route: Route
    fitting: tuple[Span, ...]


def ladders(job: Job, catalogue: Catalogue, plan: Plan | None) -> tuple[CylinderLadder, ...]:
    """Return what is left of every cylinder, now and after the plan (None: nothing fits).

    The job's lengths are at 20 °C and its guards taken. Raises InputError as `choices` does.
    """
    now, later = _states(job, catalogue, "now"), _states(job, catalogue, "later")
    plans = [None] * len(now) if plan is None else plan.cylinders
    return tuple(
        _ladder(state, after, chosen)
        for state, after, chosen in zip(now, later, plans, strict=True)
    )


def rebuilds(steps: Sequence[Step], low: int, high: int, wear: int) -> int:
    """Return the most rebuilds of a bore with local sizes `low` to `high` (ticks).

    `wear` (ticks, above 0) is how far the largest local size grows before each.
    """
    # Finishes that can be reached, by how far below and above them local sizes may lie.
    reached: dict[Span, list[Span]] = {(high - low, 0): [(high, high)]}
    count = 0
    while reached := _after_one(steps, reached, wear):
        count += 1
    return count


def _after_one(
    steps: Sequence[Step], reached: dict[Span, list[Span]], wear: int
) -> dict[Span, list[Span]]:
    found: defaultdict[Span, list[Span]] = defaultdict(list)
    for route, fitting in steps:
        half = route.half_width
        for (below, above), spans in reached.items():
            # What the route asks of the next finish, counted from the last one.
            least = clean_up.least_local_size(route, above + wear, 0) + half
            most = route_cut.largest_finish(route, -below)
            if most is not None and least > most:
                continue
            # Without a largest cut, all that can be reached is reached from the smallest finish.
            for first, last in spans if most is not None else spans[:1]:
                for low, high in fitting:
                    if most is not None and low > last + most:
                        break  # so are all that follow: they are in order
                    # The last finishes from which one in low..high can be reached. Both ends of
                    # what each reaches grow by at most a tick from one to the next, so together
                    # they are an interval without gaps.
                    start = first if most is None else max(first, low - most)
                    end = min(last, high - least)
                    if start <= end:
                        top = high if most is None else min(high, end + most)
                        found[half, half].append((max(low, start + least), top))
    return {key: _merged(spans) for key, spans in found.items()}


def _merged(spans: Iterable[Span]) -> list[Span]:
    """Return the same whole numbers as few spans, smallest first."""
    merged: list[Span] = []
    for low, high in sorted(spans):
        if merged and low <= merged[-1][1] + 1:
            merged[-1] = merged[-1][0], max(merged[-1][1], high)
        else:
            merged.append((low, high))
    return merged


def steps_of(state: CylinderChoices, nominal_bore: int | None = None) -> tuple[Step, ...]:
    """Return the routes of later rebuilds with the finishes that fit; of one size where given."""
    found = []
    for route in state.routes:
        if not _cuts(route.route) or route.refusals:
            continue
        half = route.route.half_width
        options = (
            make_option(state, piston, route, _LATER)
            for piston in state.pistons
            if not piston.refusals and nominal_bore in (None, piston.candidate.part.nominal_bore)
        )
        spans = [(o.floor_high - half, o.ceiling_high - half) for o in options if o.has_size]
        found.append(Step(route.route, tuple(_merged(spans))))
    return tuple(found)


def _cuts(route: Route) -> bool:
    """Tell whether a route takes metal from the bore; a restored bore begins a ladder anew."""
    return route.machined and route.restored_bore is None


def _states(job: Job, catalogue: Catalogue, when: str) -> tuple[CylinderChoices, ...]:
    """Return the choices of every cylinder with the whole catalogue and nothing pinned.

    Pistons to come are not measured yet, so later bores are machined to a set size, and so is
    a bore that counts as finished, to see what another size would take.
    """
    finishing = "set size" if when == "later" else job.finishing
    if finishing == "already finished":
        finishing = "set size"
    cylinders = tuple(_unpinned(cylinder) for cylinder in job.cylinders)
    free = job.model_copy(update={"finishing": finishing, "in_hand": (), "cylinders": cylinders})
    return choices(free, catalogue, shelf(free, catalogue))


def _unpinned(cylinder: Cylinder) -> Cylinder:
    nothing = {"piston_size": None, "piston_mass": None, "piston_kept": False, "rings": ()}
    return cylinder.model_copy(update={"piston": None, "route": None, **nothing})


def _ladder(
    state: CylinderChoices, later: CylinderChoices, plan: CylinderPlan | None
) -> CylinderLadder:
    cylinder, job = state.cylinder, state.job
    wear = job.wear_for(cylinder)
    left = hones = None
    if plan is not None and wear is not None:
        left = rebuilds(steps_of(later), plan.bore_low, plan.bore_high, wear)
        same = steps_of(later, plan.nominal_bore)
        hones = rebuilds(same, plan.bore_low, plan.bore_high, wear)
    return CylinderLadder(
        cylinder=state.name,
        smallest=state.smallest,
        largest=state.largest,
        bore_limit=job.bore_limit_for(cylinder),
        wear_per_rebuild=wear,
        bore_low=None if plan is None else plan.bore_low,
        bore_high=None if plan is None else plan.bore_high,
        rebuilds_left=left,
        light_hones=hones,
        rungs=_rungs(state, later, plan, wear),
    )


def _rungs(
    state: CylinderChoices, later: CylinderChoices, plan: CylinderPlan | None, wear: int | None
) -> tuple[Rung, ...]:
    after = None if plan is None else as_bore(state, plan.bore_low, plan.bore_high)
    steps = steps_of(later)
    parts = [piston.candidate.part for piston in state.pistons]
    found = []
    for nominal, oversize in sorted({(part.nominal_bore, part.oversize) for part in parts}):
        chosen = plan is not None and plan.nominal_bore == nominal
        rung = Rung(oversize=oversize, nominal_bore=nominal, chosen=chosen)
        option = nearest(state, nominal)
        next_time = None if after is None else nearest(after, nominal)
        if chosen and plan is not None:
            rung = rung.model_copy(update=_as_planned(plan, steps, wear))
        elif option is not None:
            rung = rung.model_copy(update=_as_found(option, next_time, steps, wear))
        smaller = plan is not None and nominal < plan.nominal_bore
        if not smaller or rung.removal_now is not None:
            found.append(rung)
    return tuple(found)


def _as_planned(plan: CylinderPlan, steps: Sequence[Step], wear: int | None) -> dict[str, object]:
    return {
        "piston": plan.piston.number,
        "route": plan.route,
        "finish": plan.finish_large,
        "removal_now": plan.removal,
        "rebuilds_left": None
        if wear is None
        else rebuilds(steps, plan.bore_low, plan.bore_high, wear),
    }


def _as_found(
    option: Option, next_time: Option | None, steps: Sequence[Step], wear: int | None
) -> dict[str, object]:
    found: dict[str, object] = {
        "piston": option.piston.candidate.part.number,
        "route": option.route.route.name,
    }
    if next_time is not None and barred_by(next_time) is None:
        found["removal_after"] = next_time.least_removal
    if (rule := barred_by(option)) is not None:
        return {**found, "barred_by": rule}
    half = option.route.route.half_width if option.machined else 0
    low = option.floor_low if option.follows or not option.machined else None
    low = option.floor_high - option.route.spread if low is None else low
    return {
        **found,
        "finish": option.floor_high - half,
        "removal_now": option.least_removal,
        "rebuilds_left": None if wear is None else rebuilds(steps, low, option.floor_high, wear),
    }


def nearest(state: CylinderChoices, nominal_bore: int) -> Option | None:
    """Return the option of a size that removes least, or where there is none comes nearest.

    Restoring is left out; leaving the bore as it is counts where it fits.
    """
    options = [
        make_option(state, piston, route)
        for piston in state.pistons
        for route in state.routes
        if piston.candidate.part.nominal_bore == nominal_bore and route.route.restored_bore is None
    ]
    allowed = [option for option in options if option.machined or barred_by(option) is None]
    allowed = allowed or options
    ranked = (
        (barred_by(o) is not None, bool(o.refusals), _short(o), o.least_removal, o.key, o)
        for o in allowed
    )
    best = min(ranked, key=lambda row: row[:-1], default=None)
    return None if best is None else best[-1]


def barred_by(option: Option) -> RuleId | None:
    """Return the rule that forbids an option: a refusal, else the bound that is passed furthest.

    The cut of the route comes last: another route could cut further.
    """
    if option.refusals:
        return option.refusals[0].rule
    if option.has_size:
        return None
    passed = [
        (rule == "route_cut", value - floor, rule)
        for floor, bounds in (
            (option.floor_low, option.most_low),
            (option.floor_high, option.most_high),
        )
        for rule, value in bounds
        if value < floor
    ]
    return min(passed)[2] if passed else "clearance"


def _short(option: Option) -> int:
    """Return by how much (ticks) an option misses; 0 when it has a size."""
    return max(0, option.floor_low - option.ceiling_low, option.floor_high - option.ceiling_high)
