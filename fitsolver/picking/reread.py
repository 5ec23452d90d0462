"""Readings to take again before a plan is believed: one figure that decides, off its neighbours."""

from __future__ import annotations

from collections.abc import Callable

from fitsolver.doubts.decisive import trials
from fitsolver.doubts.look import Look
from fitsolver.doubts.refusal import refusal
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.doubts import Doubt
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer, CylinderPlan, Plan


def refuse_decisive(
    job: Job, catalogue: Catalogue, answer: Answer, again: Callable[[Job], Answer]
) -> None:
    """Raise InputError for readings that alone decide the plan and stand off their neighbours.

    `again` answers a job with one of them as the other readings of its bore say.
    """
    found = []
    for trial in trials(Look(job, catalogue, f"job '{job.name}'")):
        other = again(trial.job)
        if other.status == "undecided" or same(answer.plan, other.plan):
            continue
        found.append(_worded(trial.doubt, answer.plan, other.plan))
    if found:
        raise refusal(found)


def same(plan: Plan | None, other: Plan | None) -> bool:
    """Tell whether two plans take the same parts and work, to sizes within the window's width."""
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
