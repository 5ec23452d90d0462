"""A polished solution stays one, and costs no more."""

from __future__ import annotations

from random import Random

import pytest

from fitsolver.allotment.polish import polished
from fitsolver.allotment.pool import fits, value_of
from fitsolver.allotment.settle import settle
from fitsolver.base.deadline import Clock
from tests.oracle.test_allot_pool_equals_milp import draw


@pytest.mark.parametrize("seed", range(40))
def test_never_dearer(seed: int) -> None:
    pool, start = draw(Random(seed))
    known = {c.taker: c for c in settle(pool, start, Clock(10), ("served",)).choices}
    for level in (1, 2):
        better = polished(pool, known, level)
        assert fits(pool, better)
        assert {t: c.way for t, c in better.items()} == {t: c.way for t, c in known.items()}
        assert value_of(pool, better, level) <= value_of(pool, known, level)


def test_some_are_better() -> None:
    gains = 0
    for seed in range(40):
        pool, start = draw(Random(seed))
        known = {c.taker: c for c in settle(pool, start, Clock(10), ("served",)).choices}
        gains += value_of(pool, known, 1) - value_of(pool, polished(pool, known, 1), 1)
    assert gains > 0
