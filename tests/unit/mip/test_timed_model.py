"""The model with days against everything tried: drawn instances, and what it reads and hints."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from random import Random

import numpy as np
import pytest
from ortools.sat.python import cp_model

from fitsolver.mip.instance import Column, Instance, activity, feasible, objective
from fitsolver.mip.timed_model import TimedModel, total
from fitsolver.mip.timing import Timing, Wanted, binding, most_wanted
from tests.unit.mip.worked import drawn, solutions


def timed(seed: int) -> tuple[Instance, Timing]:
    """An instance with days: some items want pieces of a row, which takes the same days for all."""
    random, instance = Random(seed), drawn(seed)
    count, rows = len(instance.costs), len(instance.capacity)
    days = [random.randint(1, 6) for _ in range(rows)]
    wanted = {}
    for item in range(count):
        if random.random() < 0.4:
            row = random.randrange(rows)
            wanted[item] = [Wanted(row, random.randint(1, 2), days[row])]
    lead, work = (np.array([random.randint(0, 4) for _ in range(count)]) for _ in range(2))
    added = np.array([random.random() < 0.5 for _ in range(instance.jobs)])
    return instance, Timing(lead, work, wanted, added)


def waiting(instance: Instance, timing: Timing, columns: dict[int, Column]) -> Iterator[int]:
    """Yield the days of a solution with every choice of what is waited for that can be."""
    asked: dict[tuple[int, int], list[Wanted]] = {}
    for job, column in columns.items():
        for item in column.items:
            for each in timing.wanted.get(item, ()):
                asked.setdefault((job, each.row), []).append(each)
    for waits in product((False, True), repeat=len(asked)):
        used = activity(instance, columns.values())
        late = {job: max(timing.lead[list(c.items)], default=0) for job, c in columns.items()}
        for ((job, row), some), wait in zip(asked.items(), waits, strict=True):
            if wait:
                late[job] = max(late[job], some[0].days)
            else:
                used[row] += sum(each.pieces for each in some)
        if (used <= instance.capacity).all():
            yield sum(_days(timing, job, int(late[job]), c) for job, c in columns.items())


def _days(timing: Timing, job: int, late: int, column: Column) -> int:
    work = max(timing.work[list(column.items)].tolist(), default=0)
    return late + work if timing.added[job] else max(late, work)


@pytest.mark.parametrize("seed", range(30))
def test_least_days_are_those_of_everything_tried(seed: int) -> None:
    instance, timing = timed(seed)
    most = most_wanted(instance, timing)
    model = TimedModel(instance, timing, range(instance.jobs), most, binding(instance, most))
    model.cp.minimize(total(model.days))
    solver = cp_model.CpSolver()
    status = solver.solve(model.cp)
    tried = [day for _, one in solutions(instance) for day in waiting(instance, timing, one)]
    if not tried:
        assert status == cp_model.INFEASIBLE
        return
    assert status == cp_model.OPTIMAL
    found = model.solution(solver)
    assert feasible(instance, found)
    assert solver.value(total(model.days)) == min(tried)
    assert min(waiting(instance, timing, found)) == min(tried)
    assert solver.value(model.cost(instance.costs[:, 0])) == objective(instance, found, 0)


def test_a_hint_names_every_variable_of_its_columns() -> None:
    instance, timing = timed(3)
    most = most_wanted(instance, timing)
    model = TimedModel(instance, timing, range(instance.jobs), most, binding(instance, most))
    _, start = solutions(instance)[0]
    model.hint(start)
    hint = model.cp.proto.solution_hint
    own = {v.index for v in (*model.modes.values(), *model.items.values())}
    assert sorted(hint.vars) == sorted(own)
    set_to_one = {at for at, value in zip(hint.vars, hint.values, strict=True) if value}
    assert {model.modes[column.mode].index for column in start.values()} <= set_to_one
    assert {model.items[i].index for column in start.values() for i in column.items} <= set_to_one


def test_nothing_sums_to_zero() -> None:
    model = cp_model.CpModel()
    model.minimize(total([]))
    solver = cp_model.CpSolver()
    assert solver.solve(model) == cp_model.OPTIMAL
    assert solver.objective_value == 0
