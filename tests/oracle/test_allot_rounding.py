"""Rounded rows against every whole solution of small pools, listed one by one: none is cut off."""

from __future__ import annotations

from itertools import product
from random import Random

import numpy as np
import pytest

from fitsolver.allotment.pool import Choice, Pool, usage
from fitsolver.allotment.rounding import Row, broken_rows, groups_of, rounded, with_rows

from .test_allot_pool_equals_milp import draw


def solutions(pool: Pool, dice: Random, most: int = 4000) -> list[list[Choice]]:
    """Return solutions within the capacity, of as many ways and items as are drawn."""
    each = []
    for taker in range(pool.takers):
        mine = []
        for way in np.flatnonzero(pool.way_taker == taker).tolist():
            places = range(int(pool.way_places[way]), int(pool.way_places[way + 1]))
            spans = [range(int(pool.first[p]), int(pool.last[p])) for p in places]
            mine += [Choice(taker, way, items) for items in product(*spans)]
        each.append(mine)
    found = []
    for _ in range(most):
        chosen = [dice.choice(mine) for mine in each]
        if (usage(pool, chosen) <= pool.capacity).all():
            found.append(chosen)
    return found


@pytest.mark.parametrize("seed", range(25))
def test_no_whole_solution_is_cut_off(seed: int) -> None:
    dice = Random(seed)
    pool, start = draw(dice)
    known = [*solutions(pool, dice), list(start.values())]
    every = range(len(pool.capacity))
    told = groups_of(pool, [[*every], *([row] for row in every)])
    rows = []
    for group in told:
        for divisor in range(2, 9):
            about = np.array([dice.randrange(-1, 4) for _ in range(pool.takers)], dtype=np.int64)
            row = rounded(pool, group, about, divisor)
            rows += [row] * (row is not None)
    wider = with_rows(pool, [row for row in rows if row is not None])
    for chosen in known:
        assert (usage(wider, chosen) <= wider.capacity).all()


def test_shares_are_cut_off() -> None:
    """Two takers of two pieces each, three pieces: by shares 1.5 are served, whole ones only 1."""
    pool, _ = draw(Random(0))
    ways = len(pool.way_taker)
    first = [int(np.flatnonzero(pool.way_taker == taker)[0]) for taker in (0, 1)]
    takes = np.zeros(ways, dtype=np.int64)
    takes[first] = 2
    group = Row(takes, 3)
    rest = {
        Choice(t, int(np.flatnonzero(pool.way_taker == t)[-1]), ()): 1.0
        for t in range(2, pool.takers)
    }
    shares = {Choice(0, first[0], ()): 1.0, Choice(1, first[1], ()): 0.5}
    out = Choice(1, int(np.flatnonzero(pool.way_taker == 1)[-1]), ())
    found = broken_rows(pool, [group], {**shares, out: 0.5, **rest})
    assert found
    for row in found:
        one, other = row.takes[first].tolist()
        spare = row.capacity - sum(int(row.takes[choice.way]) for choice in rest)
        unserved = int(row.takes[out.way])
        assert one + 0.5 * (other + unserved) > spare
        assert one + unserved <= spare
