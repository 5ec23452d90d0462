"""Lower bounds by duals, against all columns and all solutions there are."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest
from scipy.optimize import linprog

from fitsolver.mip.dual_bound import (
    best_dual_bound,
    cheapest_columns,
    common_denominator,
    dual_bound,
    fine_scale,
    integer_duals,
    pricing,
    with_room,
)

from .worked import dense, drawn, solutions

SEEDS = range(30)


@pytest.mark.parametrize("seed", SEEDS)
def test_pricing_finds_the_column_of_least_reduced_cost(seed: int) -> None:
    instance, dice = drawn(seed), Random(seed)
    duals = np.array([dice.randrange(4) for _ in instance.capacity], dtype=np.int64)
    priced = pricing(instance, instance.costs[:, 0].astype(np.int64), duals)
    every, costs, rows, _ = dense(instance)
    by_hand = np.array(costs) + duals @ rows
    for column in cheapest_columns(priced):
        mine = [by_hand[at] for at, other in enumerate(every) if other.job == column.job]
        assert by_hand[every.index(column)] == min(mine) == priced.job[column.job]


@pytest.mark.parametrize("seed", SEEDS)
def test_any_duals_prove_a_lower_bound(seed: int) -> None:
    instance, dice = drawn(seed), Random(seed)
    least = min((value for value, _ in solutions(instance)), default=None)
    for _ in range(10):
        duals = np.array([dice.randrange(60) for _ in instance.capacity], dtype=np.int64)
        dual = dual_bound(instance, 0, duals, dice.randrange(1, 20))
        assert least is None or dual.bound <= least
        assert dual.bound % dual.step == 0
        assert dual.stepped(dual.bound + 1) >= dual.bound + 1


@pytest.mark.parametrize("seed", SEEDS)
def test_the_best_duals_prove_the_optimum_of_the_relaxation(seed: int) -> None:
    """Strong duality, against scipy's linprog over all columns."""
    instance = drawn(seed)
    _, costs, rows, convexity = dense(instance)
    ones = np.ones(instance.jobs)
    found = linprog(costs, rows, instance.capacity, convexity, ones, method="highs")
    if found.status == 2:
        pytest.skip("no solution, whole or fractional")
    dual = best_dual_bound(instance, 0, -found.ineqlin.marginals)
    assert dual.scaled / dual.scale == pytest.approx(found.fun, abs=1e-3)
    assert dual.bound >= found.fun - 1e-3


@pytest.mark.parametrize("seed", range(20))
def test_a_row_of_large_coefficients_costs_no_bound(seed: int) -> None:
    """As the row has that holds a level settled before: its dual is far below the others."""
    small = drawn(seed)
    large = np.array([at * 1_000_003 % 7_000_001 for at in range(len(small.mode_job))])
    least, most = small.least_of_modes(large), -small.least_of_modes(-large)
    instance = replace(
        small.with_rows([int(least.sum() + (most - least).sum() // 3)]),
        mode_rows=np.append(small.mode_rows, len(small.capacity)),
        mode_coefs=np.column_stack([small.mode_coefs, large]),
    )
    _, costs, rows, convexity = dense(instance)
    ones = np.ones(instance.jobs)
    found = linprog(costs, rows, instance.capacity, convexity, ones, method="highs")
    if found.status == 2:
        pytest.skip("no solution, whole or fractional")
    dual = best_dual_bound(instance, 0, -found.ineqlin.marginals)
    assert dual.scaled / dual.scale == pytest.approx(found.fun, abs=0.02)


@pytest.mark.parametrize("largest", [1.0, 1e6, 1e12, 1e18])
def test_scaled_figures_have_room(largest: float) -> None:
    assert largest * fine_scale(largest, 52) <= max(largest, 2.0**52)
    assert 1 <= fine_scale(largest, 52) <= 1 << 30


def test_duals_become_integers_without_loss_where_they_are_fractions() -> None:
    duals = np.array([0.5, 2 / 3, 0.0, -0.25])
    equality = np.array([False, False, False, True])
    (exact, scale), (fine, power) = integer_duals(duals, equality, 1 << 14)
    assert scale == 12
    assert exact.tolist() == [6, 8, 0, -3]
    assert power == 1 << 14
    assert np.abs(fine / power - duals).max() <= 0.5 / power
    free = np.zeros(4, dtype=np.bool_)
    assert (
        next(integer_duals(duals, free, 1 << 14))[0].min() == 0
    )  # an inequality has no dual below 0


def test_a_common_denominator_is_the_least() -> None:
    assert common_denominator(np.array([0.25, 1.5]), 10) == 4
    assert common_denominator(np.array([1 / 7]), 6) is None
    assert common_denominator(np.array([]), 6) == 1


@pytest.mark.parametrize("wild", [np.nan, np.inf, -np.inf, 1e30])
def test_duals_without_room_in_64_bits_are_left_out(wild: float) -> None:
    """Zeros prove something too; a figure that wraps around would prove what is not so."""
    duals, largest = with_room(np.array([0.5, wild]), lambda some: float(np.abs(some).sum()))
    assert (duals.tolist(), largest) == ([0.5, 0.0], 0.5)
    duals, largest = with_room(np.array([0.5, 2e12]), lambda some: float(np.abs(some).sum()) * 2e6)
    assert (duals.tolist(), largest) == ([0.0, 0.0], 0.0)
    held, most = with_room(np.array([0.5, -3.0]), lambda some: float(np.abs(some).sum()))
    assert (held.tolist(), most) == ([0.5, -3.0], 3.5)
