"""Drawn instances against scipy's MILP on a model of its own: one binary a mode and item."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from fitsolver.base.deadline import Clock
from fitsolver.mip.instance import Column, Instance, Items, instance_of
from fitsolver.mip.lexicographic import minimum


def draw(dice: Random) -> tuple[Instance, dict[int, Column]]:
    """Jobs with modes of one to three slots over a few short rows; the last mode is free."""
    rows = dice.randrange(2, 6)
    items = Items()
    jobs = []
    start = {}
    modes = 0
    for job in range(dice.randrange(3, 12)):
        mine = []
        for _ in range(dice.randrange(1, 5)):
            slots = []
            for _ in range(dice.randrange(1, 4)):
                first = len(items)
                for _ in range(dice.randrange(1, 5)):
                    coefs = tuple(
                        (row, dice.randrange(1, 3)) for row in range(rows) if dice.random() < 0.4
                    )
                    items.add((0, dice.randrange(40), dice.randrange(9)), coefs)
                slots.append((first, len(items)))
            mine.append(slots)
        items.add((1, 0, 0))
        mine.append([(len(items) - 1, len(items))])
        jobs.append(mine)
        modes += len(mine)
        start[job] = Column(job, modes - 1, (len(items) - 1,))
    capacity = [dice.randrange(1, 9) for _ in range(rows)]
    return instance_of(jobs, items, capacity, 3), start


def by_milp(instance: Instance) -> list[int]:
    """Return the best value of each level, each held before the next."""
    slots, modes = len(instance.first), len(instance.mode_job)
    owners = np.repeat(np.arange(modes), np.diff(instance.mode_slots))
    variables = [(mode, -1) for mode in range(modes)]
    variables += [(p, i) for p in range(slots) for i in range(instance.first[p], instance.last[p])]
    size = len(variables)
    equal, right = [], []
    for job in range(instance.jobs):
        equal.append([float(at < modes and instance.mode_job[at] == job) for at in range(size)])
        right.append(1.0)
    for slot in range(slots):
        row = [float(at >= modes and variables[at][0] == slot) for at in range(size)]
        row[owners[slot]] = -1.0
        equal.append(row)
        right.append(0.0)
    limits = [LinearConstraint(np.array(equal), right, right)]
    for index, most in enumerate(instance.capacity):
        taken = [
            0.0 if item < 0 else float(instance.coefs[item][instance.rows[item] == index].sum())
            for _, item in variables
        ]
        limits.append(LinearConstraint(np.array([taken]), -np.inf, float(most)))
    values = []
    for level in range(instance.costs.shape[1]):
        costs = np.array([0.0 if i < 0 else float(instance.costs[i, level]) for _, i in variables])
        found = milp(costs, constraints=limits, integrality=np.ones(size), bounds=Bounds(0, 1))
        assert found.success
        values.append(round(found.fun))
        limits.append(LinearConstraint(costs[None, :], -np.inf, values[-1] + 0.5))
    return values


@pytest.mark.parametrize("seed", range(150))
def test_the_minimum_is_that_of_milp(seed: int) -> None:
    instance, start = draw(Random(seed))
    every = range(len(instance.capacity))
    groups = [[*every], *([row] for row in every), *([a, b] for a in every for b in every if a < b)]
    found = minimum(instance, start, Clock(), ("left out", "cost", "more"), (), groups)
    assert found.proven
    assert list(found.values) == by_milp(instance)
    used = np.zeros(len(instance.capacity) + 1, dtype=int)
    for column in found.columns:
        for item in column.items:
            np.add.at(used, instance.rows[item], instance.coefs[item])
    assert (used[:-1] <= instance.capacity).all()
