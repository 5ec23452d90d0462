"""The non-dominated plans of one job, best first, for the allotment of contested parts.

A plan dominates every later one that takes at least as much of each contested number. So the next
plan must take less of at least one number.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import NamedTuple

from ortools.sat.python import cp_model

from fitsolver.base.deadline import Clock
from fitsolver.choices.selection import Selection
from fitsolver.choices.types import Option
from fitsolver.records.base import Level
from fitsolver.solving.extract import extract
from fitsolver.solving.levels import level_slot
from fitsolver.solving.problem import Problem, narrow_model
from fitsolver.solving.settling import Levels
from fitsolver.solving.terms import total


class WantedPlan(NamedTuple):
    """A plan with its levels, and the pieces it takes of every contested number."""

    values: Mapping[Level, int]
    taken: Mapping[str, int]
    chosen: Selection


def next_wanted(
    task: Problem,
    options: Sequence[Sequence[Option]],
    contested: Collection[str],
    order: Sequence[Level],
    found: Sequence[WantedPlan],
    clock: Clock,
) -> tuple[WantedPlan | None, bool]:
    """Return the best plan that no found plan dominates; settled: no other exists."""
    cp = cp_model.CpModel()
    model = narrow_model(task, options, cp=cp) if all(options) else None
    if model is None:
        return None, True
    stock = {
        supply.sold.number: supply
        for supply in model.supply()
        if supply.most_stock and supply.sold.number in contested
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
    slots = {level: level_slot(model, level).expr for level in order}
    for level in order:
        if not search.settle("", slots[level]):
            return None, search.none
    if not search.settle("", total([(1, supply.stock) for supply in stock.values()])):
        return None, False
    assert search.best is not None
    values = {level: search.best.value(slot) for level, slot in slots.items()}
    taken = {n: search.best.value(s.stock) for n, s in stock.items()}
    return WantedPlan(values, taken, extract(model, search.best)), True
