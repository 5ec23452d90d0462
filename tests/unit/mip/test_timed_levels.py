"""Days of jobs that share pieces which could be ordered: worked by hand."""

from __future__ import annotations

import numpy as np
import pytest

from fitsolver.base.deadline import Clock
from fitsolver.mip.instance import Column, Instance, Items, instance_of
from fitsolver.mip.timed_levels import Ties, TimedMinimum, timed_minimum
from fitsolver.mip.timing import Timing, Wanted, binding, independent, most_wanted


def jobs_of_one_item(count: int, pieces: int) -> tuple[Instance, Timing]:
    """Each job wants one piece of row 0, which takes 6 days to order, and has 2 days of work."""
    items = Items()
    modes = []
    for _ in range(count):
        at = items.add((5,))
        modes.append([[(at, at + 1)]])
    wanted = {at: [Wanted(0, 1, 6)] for at in range(count)}
    zeros = np.zeros(count, dtype=np.int64)
    timing = Timing(zeros, zeros + 2, wanted, np.array([False, *[True] * (count - 1)]))
    return instance_of(modes, items, [pieces], 1), timing


def least(count: int, pieces: int, clock: Clock | None = None) -> TimedMinimum:
    instance, timing = jobs_of_one_item(count, pieces)
    start = {job: Column(job, job, (job,)) for job in range(count)}
    ties = Ties(np.zeros(count, dtype=np.int64), np.arange(count)[:, np.newaxis] + 1)
    return timed_minimum(
        instance, timing, (0, None), ("price", "days"), start, ties, clock or Clock()
    )


@pytest.mark.parametrize(("pieces", "days"), [(0, 22), (1, 16), (2, 10), (3, 6), (4, 6)])
def test_the_shelf_goes_where_it_spares_most_days(pieces: int, days: int) -> None:
    """Job 0 waits 6 days without a piece, else 2; jobs 1 and 2 wait 6 + 2 without, else 2."""
    found = least(3, pieces)
    assert found.proven
    assert found.bounds == (15, days)
    assert sum(taken[0] for taken in found.taken.values()) == min(pieces, 3)


def test_of_equal_jobs_the_lighter_takes_the_piece() -> None:
    assert {job: taken[0] for job, taken in least(3, 1).taken.items()} == {0: 0, 1: 1, 2: 0}


def test_jobs_that_cannot_use_a_row_up_are_apart() -> None:
    for pieces, groups in ((2, [[0, 1, 2]]), (3, [[0], [1], [2]])):
        instance, timing = jobs_of_one_item(3, pieces)
        most = most_wanted(instance, timing)
        assert independent(most, binding(instance, most)) == groups


def test_without_time_nothing_is_proven() -> None:
    found = least(3, 1, Clock(0.0))
    assert not found.proven
    assert found.bounds == (None, None)
    assert len(found.columns) == 3
