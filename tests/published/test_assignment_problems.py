"""Published optima through the optimiser on arrays: jobs, rows, exact proof.

Generalised assignment: OR-Library (J. E. Beasley), file gap1, instance c515-1, best known and
proven 336 as a maximum and 261 as a minimum. Assignment: against scipy's Hungarian-type method.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest
from scipy.optimize import linear_sum_assignment

from fitsolver.base.deadline import Clock
from fitsolver.mip.instance import Column, Items, instance_of
from fitsolver.mip.lexicographic import Minimum, minimum

INSTANCE = Path(__file__).with_name("orlib_gap_c515-1.txt")
TOP = 100


def assigned(costs: list[list[int]], coefs: list[list[int]], most: list[int]) -> Minimum:
    """Solve jobs (columns) on agents (rows): first how many are left out, then the cost."""
    items, jobs = Items(), []
    items.add((1, 0))
    for job in range(len(costs[0])):
        first = len(items)
        for agent in range(len(costs)):
            items.add((0, costs[agent][job]), [(agent, coefs[agent][job])])
        jobs.append([[(first, len(items))], [(0, 1)]])
    instance = instance_of(jobs, items, most, 2)
    start = {job: Column(job, 2 * job + 1, (0,)) for job in range(len(jobs))}
    return minimum(instance, start, Clock(), ("left out", "cost"))


def instance() -> tuple[list[list[int]], list[list[int]], list[int]]:
    lines = [line for line in INSTANCE.read_text().splitlines() if not line.startswith("#")]
    (agents, _), *rows = [[int(word) for word in line.split()] for line in lines]
    return rows[:agents], rows[agents : 2 * agents], rows[2 * agents]


@pytest.mark.parametrize(("sign", "published"), [(1, 261), (-1, 336)])
def test_generalised_assignment(sign: int, published: int) -> None:
    costs, coefs, most = instance()
    base = 0 if sign > 0 else TOP
    found = assigned([[base + sign * c for c in row] for row in costs], coefs, most)
    assert found.proven
    assert found.values[0] == 0
    jobs = len(costs[0])
    assert sign * (found.values[1] - base * jobs) == published


@pytest.mark.parametrize("seed", range(8))
def test_assignment(seed: int) -> None:
    dice, size = Random(seed), 12 + seed
    costs = [[dice.randrange(1, 60) for _ in range(size)] for _ in range(size)]
    found = assigned(costs, [[1] * size for _ in range(size)], [1] * size)
    agents, jobs = linear_sum_assignment(costs)
    assert found.proven
    assert found.values == (0, sum(costs[a][j] for a, j in zip(agents, jobs, strict=True)))
