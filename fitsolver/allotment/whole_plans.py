"""Every plan of one job that may be wanted: for jobs whose rules tie cylinders in other ways.

Plans are found best first. Once one is known, no other that takes at least as much of every
contested number can be wanted, so the next must take less of one of them.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, NamedTuple

from ortools.sat.python import cp_model

from fitsolver.allotment.component import Component
from fitsolver.allotment.forms import FOREVER, Candidate, Form, Source
from fitsolver.allotment.levels import Levels
from fitsolver.allotment.prepare import Prepared
from fitsolver.base.deadline import Clock
from fitsolver.choices.selection import Selection
from fitsolver.records.base import Level
from fitsolver.solving.extract import extract
from fitsolver.solving.levels import level_slot
from fitsolver.solving.problem import narrow_model
from fitsolver.solving.variables import total

#: A job with more plans than this is left to the joint model.
_MOST: Final = 200


class _Plan(NamedTuple):
    values: Mapping[Level, int]
    taken: Mapping[str, int]
    chosen: Selection


def whole_plans(job: Prepared, component: Component, clock: Clock) -> list[Form] | None:
    """Return one form that holds all plans a job may be wanted with; none if it has no plan.

    None: there are too many. Where the clock ends first, those found so far.
    """
    found: list[_Plan] = []
    while len(found) < _MOST and clock.left != 0:
        plan, settled = _next(job, component, found, clock)
        if plan is None:
            return [_form(found, component)] * bool(found) if settled or clock.left == 0 else None
        found.append(plan)
        if not any(plan.taken.values()):
            return [_form(found, component)]  # nothing takes less
    return [_form(found, component)] * bool(found) if clock.left == 0 else None


def _form(found: list[_Plan], component: Component) -> Form:
    """Return plans as candidates of one place; the days stand where parts in time would."""
    candidates = []
    for plan in found:
        largest = plan.values["largest_removal"]
        costs = tuple(
            0 if level in ("largest_removal", "days") else plan.values[level]
            for level in component.order
        )
        taken = tuple(n for n, count in sorted(plan.taken.items()) for _ in range(count))
        candidates.append(
            Candidate(costs, largest, Source(taken, (), plan.values["days"]), 0, plan.chosen)
        )
    return Form(FOREVER, FOREVER, (tuple(sorted(candidates, key=lambda c: c.removal)),))


def _next(
    job: Prepared, component: Component, found: list[_Plan], clock: Clock
) -> tuple[_Plan | None, bool]:
    """Return the best plan that none of those found makes needless; settled: there is no other."""
    cp = cp_model.CpModel()
    model = narrow_model(job.task, job.options, cp=cp) if all(job.options) else None
    if model is None:
        return None, True
    stock = {
        supply.sold.number: supply
        for supply in model.supply()
        if supply.most_stock and supply.sold.number in component.contested
    }
    for plan in found:
        less = []
        for number, supply in stock.items():
            if plan.taken[number]:
                fewer = cp.new_bool_var("")
                cp.add(supply.stock <= plan.taken[number] - 1).only_enforce_if(fewer)
                less.append(fewer)
        cp.add_bool_or(less)
    search = Levels(cp, clock)
    slots = {level: level_slot(model, level).expr for level in component.order}
    for level in component.order:
        if not search.settle("", slots[level]):
            return None, search.none
    if not search.settle("", total([(1, supply.stock) for supply in stock.values()])):
        return None, False
    assert search.best is not None
    values = {level: search.best.value(slot) for level, slot in slots.items()}
    taken = {n: search.best.value(s.stock) for n, s in stock.items()}
    return _Plan(values, taken, extract(model, search.best)), True
