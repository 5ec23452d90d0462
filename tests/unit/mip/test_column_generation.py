"""Column generation against scipy's linprog over all columns, listed."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from scipy.optimize import linprog

from fitsolver.base.deadline import Clock
from fitsolver.mip.column_generation import RestrictedMaster, relaxed
from fitsolver.mip.instance import feasible, objective
from tests.oracle.test_mip_equals_milp import by_milp, draw

from .worked import dense

SEEDS = range(25)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_master_of_all_columns_is_the_linear_programme(seed: int) -> None:
    instance, start = draw(Random(seed))
    every, costs, rows, convexity = dense(instance)
    ones = np.ones(instance.jobs)
    found = linprog(costs, rows, instance.capacity, convexity, ones, method="highs")
    master = RestrictedMaster(instance, 0)
    free = list(start.values())
    assert master.add(free) == instance.jobs
    assert master.solve()
    assert master.integral() == start
    assert master.add(every) == len(every) - instance.jobs
    assert master.solve()
    assert master.value == pytest.approx(found.fun, abs=1e-6)
    weights = master.weights()
    assert sum(weights.values()) == pytest.approx(instance.jobs)
    assert (master.duals() >= 0).all()
    integral = master.integral()
    assert integral is None or feasible(instance, integral)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("cuts", [False, True])
def test_the_bound_lies_between_the_relaxation_and_the_optimum(seed: int, cuts: bool) -> None:
    instance, start = draw(Random(seed))
    _, costs, rows, convexity = dense(instance)
    ones = np.ones(instance.jobs)
    found = linprog(costs, rows, instance.capacity, convexity, ones, method="highs")
    every = range(len(instance.capacity))
    groups = [[*every], *([row] for row in every)] if cuts else []
    told = relaxed(instance, 0, start, (), groups, Clock(None))
    least = by_milp(instance)[0]
    assert found.fun - 1e-3 <= told.dual.bound <= least
    assert feasible(instance, told.incumbent)
    assert least <= objective(instance, told.incumbent, 0) <= objective(instance, start, 0)


def test_rounding_cuts_raise_bounds() -> None:
    raised = 0
    for seed in range(40):
        instance, start = draw(Random(seed))
        every = range(len(instance.capacity))
        groups = [[*every], *([row] for row in every)]
        plain = relaxed(instance, 0, start, (), (), Clock(None)).dual
        cut = relaxed(instance, 0, start, (), groups, Clock(None)).dual
        assert cut.bound >= plain.bound
        raised += cut.scaled / cut.scale > plain.scaled / plain.scale + 1e-3
    assert raised > 0
