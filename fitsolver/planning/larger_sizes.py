"""Larger sizes left for a cylinder with their removal, and rebuilds left (docs/ladder.md)."""

from __future__ import annotations

from collections.abc import Sequence

from fitsolver.choices.options import as_bore, make_option
from fitsolver.choices.rebuild_steps import Step, endless, rebuilds
from fitsolver.choices.rebuilds import states, steps_of
from fitsolver.choices.types import CylinderChoices, Option
from fitsolver.records.base import RuleId
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.ladder import CylinderLadder, Rung
from fitsolver.records.plan import CylinderPlan, Plan


def ladders(job: Job, catalogue: Catalogue, plan: Plan | None) -> tuple[CylinderLadder, ...]:
    """Return the sizes and rebuilds left of each cylinder, now and after the plan (None: no fit).

    The job's lengths are at 20 °C and its guards taken. Raises InputError as `choices` does.
    """
    now, later = states(job, catalogue, "now"), states(job, catalogue, "later")
    plans = [None] * len(now) if plan is None else plan.cylinders
    return tuple(
        _ladder(state, after, chosen)
        for state, after, chosen in zip(now, later, plans, strict=True)
    )


def _ladder(
    state: CylinderChoices, later: CylinderChoices, plan: CylinderPlan | None
) -> CylinderLadder:
    cylinder, job = state.cylinder, state.job
    wear, steps = job.wear_for(cylinder), steps_of(later)
    no_end = endless(steps)
    counted_wear = None if no_end else wear
    left = hones = None
    if plan is not None and counted_wear is not None:
        left = rebuilds(steps, plan.bore_low, plan.bore_high, counted_wear)
        same = steps_of(later, plan.nominal_bore)
        hones = rebuilds(same, plan.bore_low, plan.bore_high, counted_wear)
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
        no_end=no_end,
        rungs=_rungs(state, steps, plan, counted_wear),
        wear_source=job.wear_source(cylinder),
        earlier_wear=cylinder.earlier_wear,
    )


def _rungs(
    state: CylinderChoices, steps: Sequence[Step], plan: CylinderPlan | None, wear: int | None
) -> tuple[Rung, ...]:
    """Return the sizes of the catalogue; without `wear` (ticks) rebuilds are not counted."""
    after = None if plan is None else as_bore(state, plan.bore_low, plan.bore_high)
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
    """Return the option of a size with the least removal; without a fit the nearest one.

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
    """Return the rule that forbids an option: a refusal, else the bound exceeded most.

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
