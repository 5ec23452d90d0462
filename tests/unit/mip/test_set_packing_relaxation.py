"""The relaxation of a set-packing problem against scipy's linprog."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from scipy.optimize import linprog

from fitsolver.mip.set_packing import Relaxation, SetPacking
from tests.unit.mip.test_enumeration import drawn


def by_linprog(problem: SetPacking) -> float | None:
    """Return the optimum; None where there is no solution, whole or fractional."""
    coefs, equality = problem.coefs.toarray(), problem.equality
    convexity = problem.matrix.toarray()[: problem.jobs]
    found = linprog(
        problem.cost,
        coefs[~equality],
        problem.capacity[~equality],
        np.vstack([convexity, coefs[equality]]),
        np.concatenate([np.ones(problem.jobs), problem.capacity[equality]]),
        method="highs",
    )
    return float(found.fun) if found.status == 0 else None


@pytest.mark.parametrize("seed", range(40))
def test_the_optimum_is_that_of_linprog(seed: int) -> None:
    problem = drawn(Random(seed))
    relaxation = Relaxation(problem, 100)
    assert relaxation.solve(20.0)
    least = by_linprog(problem)
    if least is None:  # only artificial variables make it feasible
        assert relaxation.value > relaxation.dear / 100
        return
    assert relaxation.value == pytest.approx(least, abs=1e-6)
    duals = relaxation.duals()
    priced = problem.cost + duals @ problem.coefs.toarray()
    lagrangian = sum(priced[problem.job == job].min() for job in range(problem.jobs))
    assert lagrangian - duals @ problem.capacity == pytest.approx(least, abs=1e-6)
    assert (duals[~problem.equality] >= -1e-9).all()


@pytest.mark.parametrize("seed", range(40))
def test_rows_added_later_count_as_from_the_start(seed: int) -> None:
    problem = drawn(Random(seed))
    coefs = np.random.default_rng(seed).integers(0, 4, (2, len(problem.job)))
    cut = problem.with_cuts(coefs, np.array([problem.jobs, 2 * problem.jobs]))
    grown, anew = Relaxation(problem, 100), Relaxation(cut, 100)
    assert grown.solve(20.0)
    grown.add_rows(cut)
    assert grown.solve(20.0)
    assert anew.solve(20.0)
    assert grown.value == pytest.approx(anew.value, abs=1e-5)


def test_rows_of_the_basis_inverse_are_those() -> None:
    """Times the matrix: 1 at one fractional column, 0 at every other column above 0."""
    looked = 0
    for seed in range(60):
        problem = drawn(Random(seed))
        relaxation = Relaxation(problem, 100)
        assert relaxation.solve(20.0)
        values, matrix = relaxation.values(), problem.matrix.toarray()
        above = values > 1e-6
        for row in relaxation.inverse_rows():
            tableau = (row @ matrix)[above]
            assert np.sort(np.abs(tableau))[:-1] == pytest.approx(0, abs=1e-7)
            assert tableau.max() == pytest.approx(1)
            value = values[above][int(tableau.argmax())]
            assert 1e-4 < value < 1 - 1e-4
            looked += 1
    assert looked > 50
