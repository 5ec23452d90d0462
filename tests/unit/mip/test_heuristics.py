"""Primal heuristics: what they find is a solution, and costs no more."""

from __future__ import annotations

from random import Random

import pytest

from fitsolver.base.deadline import Clock
from fitsolver.mip.heuristics import improved
from fitsolver.mip.instance import feasible, objective
from fitsolver.mip.lexicographic import minimum
from tests.oracle.test_mip_equals_milp import draw


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
