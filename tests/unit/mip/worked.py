"""Small instances with everything there is of them: what brute force and dense models read."""

from __future__ import annotations

from itertools import product
from random import Random

import numpy as np

from fitsolver.mip.instance import Column, Instance, column_cost, feasible, objective
from tests.unit.mip.test_enumeration import columns, nested

Solutions = list[tuple[int, dict[int, Column]]]


def drawn(seed: int) -> Instance:
    """Return an instance of at most three jobs and one level."""
    return nested(Random(seed))


def solutions(instance: Instance) -> Solutions:
    """Return every solution with its objective on level 0."""
    found = []
    for chosen in product(*columns(instance)):
        one = {column.job: column for column in chosen}
        if feasible(instance, one):
            found.append((objective(instance, one, 0), one))
    return found


def dense(instance: Instance) -> tuple[list[Column], list[int], np.ndarray, np.ndarray]:
    """Return all columns, their costs, and rows and convexity rows (.., columns) as matrices."""
    every = [column for mine in columns(instance) for column in mine]
    rows = np.zeros((len(instance.capacity), len(every)))
    convexity = np.zeros((instance.jobs, len(every)))
    for at, column in enumerate(every):
        convexity[column.job, at] = 1
        for item in column.items:
            for row, coef in zip(instance.rows[item], instance.coefs[item], strict=True):
                if row < len(rows):
                    rows[row, at] += coef
    return every, [column_cost(instance, column, 0) for column in every], rows, convexity
