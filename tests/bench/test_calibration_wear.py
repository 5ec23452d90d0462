"""The most of the next wear is what it says, in worlds where wears vary and grow; seeded."""

from __future__ import annotations

from math import sqrt

import pytest

from tests.bench import calibration_wear as wear

CASES = 4_000
#: 3.5 sampling errors of a share of 95 %.
CHANCE = 3.5 * sqrt(0.95 * 0.05 / CASES)


@pytest.mark.parametrize("count", [1, 2, 3, 8])
@pytest.mark.parametrize("world", [w for w in wear.WORLDS if w.assumed])
def test_it_covers_the_next_in_every_world_that_is_assumed(world: wear.World, count: int) -> None:
    assert wear.covered(world, count, CASES) >= 0.95 - CHANCE


@pytest.mark.parametrize("world", wear.WORLDS[1:])
def test_the_gauge_alone_does_not_cover_it(world: wear.World) -> None:
    assert wear.covered(world, 3, CASES, wear.by_the_gauge) < 0.95 - CHANCE
