"""A first allotment: each job in turn takes its best plan from the remaining stock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from fitsolver.allotment.component import Component
from fitsolver.allotment.prepared import Prepared
from fitsolver.allotment.supply import sold, with_stock
from fitsolver.base.deadline import Clock
from fitsolver.choices.selection import Selection
from fitsolver.solving.solve import best


@dataclass(frozen=True, slots=True)
class First:
    """The selections of jobs served one by one; and the jobs that can never be served."""

    chosen: Mapping[str, Selection]
    never: frozenset[str]


def one_by_one(component: Component, clock: Clock) -> First:
    """Serve the jobs in order, each as well as the stock allows, until the time runs out."""
    left = dict(component.contested)
    chosen: dict[str, Selection] = {}
    never = set()
    for job in component.jobs:
        if clock.left == 0:
            break
        selection = _pick(job, left, clock)
        if selection is None:
            if clock.left != 0 and _never(job, clock):
                never.add(job.name)
            continue
        chosen[job.name] = selection
        for number, bought in (*selection.kits.items(), *selection.singles.items()):
            if number in left:
                left[number] -= bought.stock
    return First(chosen, frozenset(never))


def _pick(job: Prepared, left: Mapping[str, int], clock: Clock) -> Selection | None:
    counts = {number: left.get(number, most) for number, most in _stock(job).items()}
    catalogue = with_stock(job.task.catalogue, counts)
    try:
        return best(replace(job.task, catalogue=catalogue), clock).selection
    except KeyboardInterrupt:  # it came before there was a plan
        return None


def _never(job: Prepared, clock: Clock) -> bool:
    try:
        found = best(job.task, clock)
    except KeyboardInterrupt:
        return False
    return found.selection is None and found.settled


def _stock(job: Prepared) -> dict[str, int]:
    return {item.number: item.stock for item in sold(job.task.catalogue)}
