"""Pools of drawn takers against scipy's MILP on a model of its own: one 0/1 a way and item."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from fitsolver.allotment.pool import Choice, Items, Pool, pool_of
from fitsolver.allotment.settle import settle
from fitsolver.base.deadline import Clock


def draw(dice: Random) -> tuple[Pool, dict[int, Choice]]:
    """Takers with ways of one to three places over a few short rows; the last way is free."""
    rows = dice.randrange(2, 6)
    items = Items()
    takers = []
    start = {}
    ways = 0
    for taker in range(dice.randrange(3, 12)):
        mine = []
        for _ in range(dice.randrange(1, 5)):
            places = []
            for _ in range(dice.randrange(1, 4)):
                first = len(items)
                for _ in range(dice.randrange(1, 5)):
                    takes = tuple(
                        (row, dice.randrange(1, 3)) for row in range(rows) if dice.random() < 0.4
                    )
                    items.add((0, dice.randrange(40), dice.randrange(9)), takes)
                places.append((first, len(items)))
            mine.append(places)
        items.add((1, 0, 0))
        mine.append([(len(items) - 1, len(items))])
        takers.append(mine)
        ways += len(mine)
        start[taker] = Choice(taker, ways - 1, (len(items) - 1,))
    capacity = [dice.randrange(1, 9) for _ in range(rows)]
    return pool_of(takers, items, capacity, 3), start


def by_milp(pool: Pool) -> list[int]:
    """Return the best value of each level, each held before the next."""
    places, ways = len(pool.first), len(pool.way_taker)
    owners = np.repeat(np.arange(ways), np.diff(pool.way_places))
    columns = [(way, -1) for way in range(ways)]
    columns += [(p, i) for p in range(places) for i in range(pool.first[p], pool.last[p])]
    size = len(columns)
    equal, right = [], []
    for taker in range(pool.takers):
        equal.append([float(at < ways and pool.way_taker[at] == taker) for at in range(size)])
        right.append(1.0)
    for place in range(places):
        row = [float(at >= ways and columns[at][0] == place) for at in range(size)]
        row[owners[place]] = -1.0
        equal.append(row)
        right.append(0.0)
    limits = [LinearConstraint(np.array(equal), right, right)]
    for index, most in enumerate(pool.capacity):
        taken = [
            0.0 if item < 0 else float(pool.takes[item][pool.rows[item] == index].sum())
            for _, item in columns
        ]
        limits.append(LinearConstraint(np.array([taken]), -np.inf, float(most)))
    values = []
    for level in range(pool.costs.shape[1]):
        costs = np.array([0.0 if i < 0 else float(pool.costs[i, level]) for _, i in columns])
        found = milp(costs, constraints=limits, integrality=np.ones(size), bounds=Bounds(0, 1))
        assert found.success
        values.append(round(found.fun))
        limits.append(LinearConstraint(costs[None, :], -np.inf, values[-1] + 0.5))
    return values


@pytest.mark.parametrize("seed", range(150))
def test_settled_as_milp_has_it(seed: int) -> None:
    pool, start = draw(Random(seed))
    every = range(len(pool.capacity))
    groups = [[*every], *([row] for row in every), *([a, b] for a in every for b in every if a < b)]
    found = settle(pool, start, Clock(), ("left out", "cost", "more"), (), groups)
    assert found.proven
    assert list(found.values) == by_milp(pool)
    used = np.zeros(len(pool.capacity) + 1, dtype=int)
    for choice in found.choices:
        for item in choice.items:
            np.add.at(used, pool.rows[item], pool.takes[item])
    assert (used[:-1] <= pool.capacity).all()
