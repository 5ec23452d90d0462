"""Check of the objective: every level recomputed from the plan."""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.checking.end_gap import least_filing
from fitsolver.checking.rebuilds import left_and_lost
from fitsolver.checking.view import PlanView
from fitsolver.records.base import LEVELS, Level


def violations(view: PlanView) -> Iterator[str]:
    """Yield every level whose value is not what the plan comes to."""
    order = (*view.job.best, *(level for level in LEVELS if level not in view.job.best))
    if tuple(item.level for item in view.plan.objective) != order:
        yield "what is best is not counted in the order the job asks for"
    values = _values(view)
    if "rebuilds_left" in order:
        left, values["rebuilds_left"] = left_and_lost(view)
        if view.plan.rebuilds_left != left:
            yield f"{view.plan.rebuilds_left} rebuilds left are said, it comes to {left}"
    for item in view.plan.objective:
        if item.value != values[item.level]:
            yield f"{item.level}: {item.value} is said, {values[item.level]} is what it comes to"
        if item.bound > item.value or (item.proven and item.bound != item.value):
            yield f"{item.level}: said to be proven, but bound and value differ"


def _values(view: PlanView) -> dict[Level, int]:
    removals = [
        item.plan.finish_large - item.base if item.route.machined else 0 for item in view.cylinders
    ]
    return {
        "restored": sum(item.route.kind == "restore" for item in view.cylinders),
        "largest_removal": max(removals),
        "total_removal": sum(removals),
        "filing": sum(
            least_filing(item, groove) for item in view.cylinders for groove in item.rings
        ),
        "price": view.plan.price,
        "days": view.plan.days,
        "part_number": 0,
    }
