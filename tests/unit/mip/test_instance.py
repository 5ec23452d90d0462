"""Instances, against matrices that are added up entry by entry."""

from __future__ import annotations

import numpy as np
import pytest

from fitsolver.mip.instance import (
    Items,
    activity,
    coefficients,
    column_cost,
    feasible,
    instance_of,
    objective,
    small_ints,
    step_of,
)

from .worked import dense, drawn


@pytest.mark.parametrize("seed", range(20))
def test_activity_and_coefficients_are_the_matrix(seed: int) -> None:
    instance = drawn(seed)
    every, _, rows, _ = dense(instance)
    for at, column in enumerate(every):
        own = np.zeros(len(rows))
        for row, coef in coefficients(instance, column).items():
            own[row] = coef
        assert (own == rows[:, at]).all()
        assert (activity(instance, [column]) == rows[:, at]).all()
    assert (activity(instance, every) == rows.sum(axis=1)).all()
    assert (activity(instance, []) == 0).all()


def test_a_row_of_modes_counts_as_a_whole() -> None:
    instance = drawn(3)
    wider = instance.with_rows([5])
    assert wider.capacity.tolist() == [*instance.capacity.tolist(), 5]
    assert not wider.equality[-1]
    column = dense(wider)[0][0]
    assert activity(wider, [column])[-1] == 0


def test_items_are_padded_with_the_row_past_the_last() -> None:
    items = Items()
    items.add((4,), [(0, 2), (1, 3)])
    items.add((6,))
    instance = instance_of([[[(0, 2)]]], items, [5, 5], 1)
    assert instance.rows.tolist() == [[0, 1], [2, 2]]
    assert instance.coefs.tolist() == [[2, 3], [0, 0]]
    assert step_of(instance.costs[:, 0]) == 2


def test_equality_rows_are_met_exactly() -> None:
    items = Items()
    items.add((0,), [(0, 1)])
    items.add((1,), [(0, 2)])
    instance = instance_of([[[(0, 2)]]], items, [2], 1)
    less, just = (dense(instance)[0][at] for at in (0, 1))
    assert feasible(instance, {0: less})
    instance.equality[0] = True
    assert not feasible(instance, {0: less})
    assert feasible(instance, {0: just})
    assert objective(instance, {0: just}, 0) == column_cost(instance, just, 0) == 1


def test_figures_take_the_narrowest_type() -> None:
    assert small_ints(np.array([1, -(2**31) + 1])).dtype == np.int32
    assert small_ints(np.array([2**31])).dtype == np.int64
