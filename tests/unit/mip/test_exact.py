"""What CP-SAT closes, against every solution of small problems, one by one."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from fitsolver.base.deadline import Clock
from fitsolver.mip.dual_bound import dual_bound
from fitsolver.mip.enumeration import columns_within
from fitsolver.mip.exact import (
    close_columns,
    close_flow,
    incumbent_among,
    nearest,
    violated_rows,
)
from fitsolver.mip.flow_model import flow_model
from fitsolver.mip.instance import Column, Instance, coefficients, feasible, objective
from fitsolver.mip.set_packing import SetPacking, set_packing_of
from tests.unit.mip.test_enumeration import drawn as problem_drawn
from tests.unit.mip.test_enumeration import solutions as problem_solutions

from .worked import dense, drawn, solutions

SEEDS = range(25)
CLOCK = Clock(None)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_flow_model_is_closed(seed: int) -> None:
    instance = drawn(seed)
    flow = flow_model(instance, 0)
    least = min((value for value, _ in solutions(instance)), default=None)
    if least is None:
        assert close_flow(flow, 10**6, 0, CLOCK) == (None, 10**6)
        return
    closed = close_flow(flow, least + 1, 0, CLOCK)
    assert closed.bound == least
    assert closed.solution is not None
    assert feasible(instance, closed.solution)
    assert objective(instance, closed.solution, 0) == least
    assert close_flow(flow, least, 0, CLOCK) == (None, least)


@pytest.mark.parametrize("seed", SEEDS)
def test_columns_are_closed(seed: int) -> None:
    problem = problem_drawn(Random(seed))
    costs = [int(problem.cost[list(one)].sum()) for one in problem_solutions(problem)]
    if not costs:
        assert close_columns(problem, 10**6, 0, CLOCK) == (None, 10**6)
        return
    closed = close_columns(problem, min(costs) + 1, 0, CLOCK)
    assert closed.bound == min(costs)
    assert closed.solution is not None
    assert sum(problem.cost[c.mode] for c in closed.solution.values()) == min(costs)
    assert close_columns(problem, min(costs), 0, CLOCK) == (None, min(costs))


def test_a_job_without_columns_has_no_solution() -> None:
    problem = problem_drawn(Random(0))
    assert close_columns(problem.only(problem.job != 0), 7, 0, CLOCK) == (None, 7)


def enumerated(instance: Instance, rows: list[int]) -> SetPacking:
    """Return all columns of an instance, with some of its rows told apart."""
    none = np.zeros(len(instance.capacity), dtype=np.int64)
    found = columns_within(dual_bound(instance, 0, none, 1).priced, 0, 10**6, rows, CLOCK)
    assert found is not None
    return set_packing_of(instance, found, rows)


@pytest.mark.parametrize("seed", SEEDS)
def test_incumbents_among_columns_are_solutions(seed: int) -> None:
    instance = drawn(seed)
    problem = enumerated(instance, list(range(len(instance.capacity))))
    least = min((value for value, _ in solutions(instance)), default=None)
    if least is None:
        assert incumbent_among(instance, problem, 10**6, 0, CLOCK) is None
        return
    found = incumbent_among(instance, problem, least + 5, 0, CLOCK)
    assert found is not None
    assert feasible(instance, found)
    assert objective(instance, found, 0) == least
    assert incumbent_among(instance, problem, least - 1, 0, CLOCK) is None


@pytest.mark.parametrize("seed", SEEDS)
def test_nearest_keeps_as_many_columns_as_a_solution_as_good_can(seed: int) -> None:
    instance = drawn(seed)
    every = solutions(instance)
    if not every:
        pytest.skip("no solution")
    rows = list(range(len(instance.capacity)))
    problem = enumerated(instance, rows)
    least, one = min(every, key=lambda some: some[0])
    columns = dense(instance)[0]
    near = {job: next(c for c in columns if c.job == job) for job in range(instance.jobs)}
    kept = nearest(instance, problem, near, one, 0, CLOCK)
    assert kept.items() <= near.items()

    def as_near(some: dict[int, Column]) -> int:
        same = (
            coefficients(instance, some[job]) == coefficients(instance, c)
            for job, c in near.items()
        )
        return sum(same)

    assert len(kept) == max(as_near(some) for value, some in every if value == least)


def test_violated_rows_are_named() -> None:
    instance = drawn(2)
    instance.capacity[:] = 0
    every = dense(instance)[0]
    one = {column.job: column for column in every}
    rows = dense(instance)[2][:, [every.index(c) for c in one.values()]].sum(axis=1)
    assert violated_rows(instance, one) == set(np.flatnonzero(rows > 0).tolist())
