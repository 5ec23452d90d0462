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
    return not any(map(_change, plan.cylinders, other.cylinders))


def _worded(doubt: Doubt, plan: Plan | None, other: Plan | None) -> Doubt:
    """Add what would be bought or done otherwise."""
    sentence = f"{doubt.sentence}: {_changes(plan, other)}"
    return doubt.model_copy(update={"sentence": sentence})


def _changes(plan: Plan | None, other: Plan | None) -> str:
    """Return what the size expected changes, cylinders with the same change together."""
    if plan is None or other is None:
        return "nothing fits with that size" if other is None else "with that size a plan fits"
    cylinders: dict[str, list[str]] = {}
    for here, there in zip(plan.cylinders, other.cylinders, strict=True):
        if change := _change(here, there):
            cylinders.setdefault(change, []).append(here.cylinder)
    return "; ".join(
        f"{'cylinder' if len(names) == 1 else 'cylinders'} {', '.join(names)}: {change}"
        for change, names in cylinders.items()
    )


def _change(here: CylinderPlan, there: CylinderPlan) -> str:
    """Return what one cylinder gets in place of what it has here, "" where nothing changes."""
    was, now = _named(here), _named(there)
    if here.route != there.route:
        return f"{now} by {there.route} in place of {was} by {here.route}"
    if was != now:
        return f"{now} in place of {was}"
    if _rings(here) != _rings(there):
        return "other rings"
    if here.gaskets != there.gaskets:
        return "other gaskets"
    moved = abs(here.finish_large - there.finish_large)
    return "another finished size" if here.machined and moved > _width(here) else ""


def _named(item: CylinderPlan) -> str:
    """Return the piston of a cylinder, with its piece where it is one in hand."""
    piece = f" (piece {item.piston.piece})" if item.piston.piece else ""
    return f"{item.piston.number}{piece}"


def _rings(item: CylinderPlan) -> list[tuple[int, str, str]]:
    return [(ring.groove, ring.number, ring.piece) for ring in item.rings]


def _width(item: CylinderPlan) -> int:
    """Return the width of the clearance window of a cylinder (ticks); 0 where it is open."""
    edges = [(fit.low, fit.high) for fit in item.fits if fit.fit == "clearance"]
    return max(
        (high - low for low, high in edges if low is not None and high is not None), default=0
    )
