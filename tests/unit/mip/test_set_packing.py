"""The set-packing problem over listed columns, against a dense one."""

from __future__ import annotations

import numpy as np
import pytest

from fitsolver.mip.instance import Column, coefficients, column_cost
from fitsolver.mip.set_packing import set_packing_of

from .worked import dense, drawn


@pytest.mark.parametrize("seed", range(20))
def test_it_is_the_matrix_of_its_columns(seed: int) -> None:
    instance = drawn(seed)
    every, costs, rows, convexity = dense(instance)
    told = [
        (c, column_cost(instance, c, 0), tuple(sorted(coefficients(instance, c).items())))
        for c in every
    ]
    problem = set_packing_of(instance, told, range(len(instance.capacity)))
    whole = problem.matrix.toarray()
    assert (whole[: problem.jobs] == convexity).all()
    assert (whole[problem.jobs :] * problem.units[:, None] == rows).all()
    assert (problem.capacity == instance.capacity // problem.units).all()
    assert problem.cost.tolist() == costs
    assert problem.step == max(1, np.gcd.reduce(costs))
    least = [min(k for c, k, _ in told if c.job == job) for job in range(instance.jobs)]
    assert problem.least_of_jobs(problem.cost).tolist() == least
    assert not problem.lacking
    assert problem.only(problem.job != 0).lacking

    cut = problem.with_cuts(np.ones((1, len(every)), dtype=np.int64), np.array([instance.jobs]))
    assert (cut.coefs.toarray()[-1] == 1).all()
    assert (cut.without_cuts.coefs.toarray() == problem.coefs.toarray()).all()
    assert len(cut.without_cuts.capacity) == len(problem.capacity)


def test_an_equality_row_that_cannot_be_met_keeps_its_units() -> None:
    instance = drawn(0)
    instance.equality[0] = True
    instance.capacity[0] = 3
    told = [(Column(0, 0, ()), 1, ((0, 2), (1, 2)))]
    problem = set_packing_of(instance, told, [0, 1])
    assert problem.units.tolist() == [1, 2]
    assert problem.capacity.tolist() == [3, int(instance.capacity[1]) // 2]
