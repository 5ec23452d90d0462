"""Primal heuristics: what they find is a solution, and costs no more."""

from __future__ import annotations

from random import Random

import pytest

from fitsolver.base.deadline import Clock
from fitsolver.mip.heuristics import fix_and_optimise, improved
from fitsolver.mip.instance import Column, feasible, objective
from fitsolver.mip.lexicographic import minimum
from tests.oracle.test_mip_equals_milp import by_milp, draw


@pytest.mark.parametrize("seed", range(40))
def test_never_dearer(seed: int) -> None:
    instance, start = draw(Random(seed))
    known = {c.job: c for c in minimum(instance, start, Clock(10), ("served",)).columns}
    for level in (1, 2):
        better = improved(instance, known, level)
        assert feasible(instance, better)
        assert {t: c.mode for t, c in better.items()} == {t: c.mode for t, c in known.items()}
        assert objective(instance, better, level) <= objective(instance, known, level)


def test_some_are_better() -> None:
    gains = 0
    for seed in range(40):
        instance, start = draw(Random(seed))
        known = {c.job: c for c in minimum(instance, start, Clock(10), ("served",)).columns}
        gains += objective(instance, known, 1) - objective(
            instance, improved(instance, known, 1), 1
        )
    assert gains > 0


@pytest.mark.parametrize("seed", range(30))
def test_with_nothing_fixed_the_optimum_is_found(seed: int) -> None:
    """Against scipy's milp on a model of its own."""
    instance, _ = draw(Random(seed))
    found = fix_and_optimise(instance, 0, {}, 0, Clock(None))
    assert found is not None
    assert feasible(instance, found)
    assert objective(instance, found, 0) == by_milp(instance)[0]


@pytest.mark.parametrize("seed", range(30))
def test_what_is_fixed_stays_until_more_is_freed(seed: int) -> None:
    instance, start = draw(Random(seed))
    near = {job: start[job] for job in list(start)[: len(start) // 2]}
    wanted = objective(instance, start, 0)  # the first neighbourhood is enough for that
    found = fix_and_optimise(instance, 0, near, wanted, Clock(None))
    assert found is not None
    assert feasible(instance, found)
    assert near.items() <= found.items()
    assert objective(instance, found, 0) <= wanted


def test_columns_that_leave_too_little_are_freed() -> None:
    for seed in range(10):
        instance, _ = draw(Random(seed))
        first = {int(job): int(mode) for mode, job in reversed([*enumerate(instance.mode_job)])}
        near = {}
        for job, mode in first.items():
            slots = range(int(instance.mode_slots[mode]), int(instance.mode_slots[mode + 1]))
            near[job] = Column(job, mode, tuple(int(instance.last[slot]) - 1 for slot in slots))
        found = fix_and_optimise(instance, 0, near, 0, Clock(None))
        assert found is None or feasible(instance, found)


def test_no_neighbourhood_is_begun_once_the_time_is_over() -> None:
    instance, _ = draw(Random(1))
    assert fix_and_optimise(instance, 0, {}, 0, Clock(0.0)) is None
