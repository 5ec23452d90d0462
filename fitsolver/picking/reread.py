"""Readings to repeat before a plan is trusted: a deciding reading off its neighbours."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from fitsolver.base.deadline import Clock
from fitsolver.base.running import TimeOverError, look, within
from fitsolver.doubts.decisive import trials
from fitsolver.doubts.look import Look
from fitsolver.doubts.refusal import refusal
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.doubts import Doubt
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer, CylinderPlan, Plan


def refuse_decisive(
    job: Job, catalogue: Catalogue, answer: Answer, again: Callable[[Job], Answer], clock: Clock
) -> tuple[str, ...]:
    """Raise InputError for readings that alone decide the plan and stand off their neighbours.

    `again` answers a job with one such reading replaced by the size its bore's other readings
    predict. Returns the caution on readings not tried before the time or Ctrl-C ended the trials.
    """
    found, untried = [], []
    for trial in trials(Look(job, catalogue, f"job '{job.name}'")):
        other = _in_time(again, trial.job, clock)
        if other is None:
            untried.append(trial.doubt.id)
        elif not same(answer.plan, other.plan):
            found.append(_worded(trial.doubt, answer.plan, other.plan))
    if found:
        raise refusal(found)
    return _not_tried(untried)


def _in_time(again: Callable[[Job], Answer], job: Job, clock: Clock) -> Answer | None:
    """Return the answer, or None where the time ends first."""
    try:
        with within(clock):
            look()
            other = again(job)
    except (TimeOverError, KeyboardInterrupt):
        if not clock.over:
            raise
        return None
    return None if other.status == "undecided" else other


def _not_tried(names: Sequence[str]) -> tuple[str, ...]:
    if not names:
        return ()
    return (
        f"not known whether one of these alone decides the plan: {', '.join(names)}. The search "
        "ended before each was tried as its neighbours say",
    )


def same(plan: Plan | None, other: Plan | None) -> bool:
    """Tell whether two plans have the same parts and work, with sizes within the window's width."""
    if plan is None or other is None:
        return plan is other
    if [_parts(item) for item in plan.cylinders] != [_parts(item) for item in other.cylinders]:
        return False
    return all(
        abs(one.finish_large - two.finish_large) <= _width(one)
        for one, two in zip(plan.cylinders, other.cylinders, strict=True)
        if one.machined
    )


def _parts(item: CylinderPlan) -> tuple[object, ...]:
    rings = tuple((ring.groove, ring.number, ring.piece) for ring in item.rings)
    return item.piston.number, item.piston.piece, item.route, rings, item.gaskets


def _width(item: CylinderPlan) -> int:
    """Return the width of the clearance window of a cylinder (ticks); 0 where it is open."""
    edges = [(fit.low, fit.high) for fit in item.fits if fit.fit == "clearance"]
    return max(
        (high - low for low, high in edges if low is not None and high is not None), default=0
    )


def _worded(doubt: Doubt, plan: Plan | None, other: Plan | None) -> Doubt:
    """Add what would be bought otherwise."""
    here, there = (_pistons(item) for item in (plan, other))
    changes = f": {there} instead of {here}" if here != there else ": other parts, work or sizes"
    return doubt.model_copy(update={"sentence": doubt.sentence + changes})


def _pistons(plan: Plan | None) -> str:
    if plan is None:
        return "nothing fits"
    return ", ".join(f"{item.piston.number} by {item.route}" for item in plan.cylinders)
