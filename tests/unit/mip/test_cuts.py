"""Rounding cuts against every integer solution of small instances: none is cut off."""

from __future__ import annotations

from itertools import product
from random import Random

import numpy as np
import pytest

from fitsolver.mip.cuts import ModeRow, aggregated, rounded, rounding, separated, with_cuts
from fitsolver.mip.instance import Column, Instance, activity
from tests.oracle.test_mip_equals_milp import draw


def solutions(instance: Instance, dice: Random, most: int = 4000) -> list[list[Column]]:
    """Return solutions within the capacity, of as many modes and items as are drawn."""
    each = []
    for job in range(instance.jobs):
        mine = []
        for mode in np.flatnonzero(instance.mode_job == job).tolist():
            slots = range(int(instance.mode_slots[mode]), int(instance.mode_slots[mode + 1]))
            spans = [range(int(instance.first[p]), int(instance.last[p])) for p in slots]
            mine += [Column(job, mode, items) for items in product(*spans)]
        each.append(mine)
    found = []
    for _ in range(most):
        chosen = [dice.choice(mine) for mine in each]
        if (activity(instance, chosen) <= instance.capacity).all():
            found.append(chosen)
    return found


@pytest.mark.parametrize("seed", range(25))
def test_no_integer_solution_is_cut_off(seed: int) -> None:
    dice = Random(seed)
    instance, start = draw(dice)
    known = [*solutions(instance, dice), list(start.values())]
    every = range(len(instance.capacity))
    told = aggregated(instance, [[*every], *([row] for row in every)])
    rows = []
    for group in told:
        for divisor in range(2, 9):
            about = np.array([dice.randrange(-1, 4) for _ in range(instance.jobs)], dtype=np.int64)
            row = rounded(instance, group, about, divisor)
            rows += [row] * (row is not None)
    wider = with_cuts(instance, [row for row in rows if row is not None])
    for chosen in known:
        assert (activity(wider, chosen) <= wider.capacity).all()


def test_a_fractional_solution_is_cut_off() -> None:
    """Two jobs of two pieces each, three pieces: by weights 1.5 are served, whole jobs only 1."""
    instance, _ = draw(Random(0))
    modes = len(instance.mode_job)
    first = [int(np.flatnonzero(instance.mode_job == job)[0]) for job in (0, 1)]
    coefs = np.zeros(modes, dtype=np.int64)
    coefs[first] = 2
    group = ModeRow(coefs, 3)
    rest = {
        Column(t, int(np.flatnonzero(instance.mode_job == t)[-1]), ()): 1.0
        for t in range(2, instance.jobs)
    }
    weights = {Column(0, first[0], ()): 1.0, Column(1, first[1], ()): 0.5}
    out = Column(1, int(np.flatnonzero(instance.mode_job == 1)[-1]), ())
    found = separated(instance, [group], {**weights, out: 0.5, **rest})
    assert found
    for row in found:
        one, other = row.coefs[first].tolist()
        spare = row.capacity - sum(int(row.coefs[column.mode]) for column in rest)
        unserved = int(row.coefs[out.mode])
        assert one + 0.5 * (other + unserved) > spare
        assert one + unserved <= spare


@pytest.mark.parametrize("divisor", range(2, 9))
def test_the_rounding_function_is_superadditive(divisor: int) -> None:
    """What makes its cuts valid: F(0) = 0, F(u) + F(v) <= F(u + v), and it never falls.

    (Nemhauser and Wolsey, Integer and Combinatorial Optimization, 1988, II.1.7.)
    """
    figures = np.arange(-30, 31)
    for remainder in range(1, divisor):
        of = rounding(figures, divisor, remainder)
        assert rounding(np.zeros(1, dtype=np.int64), divisor, remainder)[0] == 0
        assert (np.diff(of) >= 0).all()
        sums = rounding(figures[:, None] + figures[None, :], divisor, remainder)
        assert (of[:, None] + of[None, :] <= sums).all()
