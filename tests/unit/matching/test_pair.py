"""Three levels against every pairing tried out, and against scipy's assignment."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from fitsolver.matching.least_sum import OutOfTimeError, least_sum
from fitsolver.matching.pair import best_pairing, centred

Sizes = list[int]


def every_pairing(bores: Sizes, pieces: Sizes, low: int, high: int) -> Iterator[Sizes]:
    """Yield the deviations (half ticks) of every pairing there is."""
    if not bores:
        yield []
        return
    first, *others = bores
    yield from every_pairing(others, pieces, low, high)
    for at, piece in enumerate(pieces):
        if low <= first - piece <= high:
            own = abs(2 * (first - piece) - low - high)
            for rest in every_pairing(others, pieces[:at] + pieces[at + 1 :], low, high):
                yield [own, *rest]


@pytest.mark.parametrize("seed", range(400))
def test_small_ones_against_every_pairing(seed: int) -> None:
    dice = Random(seed)
    spread = dice.choice([4, 9, 25])
    bores = sorted(100 + dice.randrange(spread) for _ in range(dice.randrange(1, 6)))
    pieces = sorted(90 + dice.randrange(spread) for _ in range(dice.randrange(1, 6)))
    low = dice.randrange(-5, 12)
    high = low + dice.randrange(12)
    best = min(
        (-len(each), max(each, default=0), sum(each))
        for each in every_pairing(bores, pieces, low, high)
    )
    places, offered, reach = centred(bores, pieces, low, high)
    found = best_pairing(places, offered, reach)
    pairs = sum(piece >= 0 for piece in found.mates)
    assert (-pairs, found.largest, found.total) == best
    assert found.proven
    assert sum(short.lacking for short in found.short_of_pieces) == len(bores) - pairs
    assert sum(short.lacking for short in found.short_of_bores) == len(pieces) - pairs


def by_scipy(places: Sizes, offered: Sizes, reach: int) -> tuple[int, int]:
    """Return the most pairs within a reach and their least sum, by scipy's assignment."""
    costs = np.abs(np.subtract.outer(places, offered)).astype(np.float64)
    never = 1e7
    costs[costs > reach] = never
    rows, columns = linear_sum_assignment(costs)
    chosen = costs[rows, columns]
    return int((chosen < never).sum()), int(chosen[chosen < never].sum())


@pytest.mark.parametrize("seed", range(25))
def test_larger_ones_against_scipy(seed: int) -> None:
    """All three levels, 200 to a side: the reach of level 2 is the least that keeps the pairs."""
    dice = Random(seed)
    spread = dice.choice([15, 60, 400])
    bores = sorted(round(dice.gauss(0, spread)) for _ in range(dice.randrange(150, 200)))
    pieces = sorted(round(dice.gauss(3, spread)) for _ in range(dice.randrange(150, 200)))
    places, offered, reach = centred(bores, pieces, -20, 21)
    found = best_pairing(places, offered, reach)
    pairs = len(bores) - found.mates.count(-1)
    assert pairs == by_scipy(places, offered, reach)[0]
    assert (pairs, found.total) == by_scipy(places, offered, found.largest)
    assert by_scipy(places, offered, found.largest - 1)[0] < pairs


@pytest.mark.parametrize("seed", range(400))
def test_least_sum_against_scipy(seed: int) -> None:
    dice = Random(seed)
    spread, reach = dice.choice([5, 12, 40]), dice.randrange(40)
    any_of = sorted(dice.randrange(spread) for _ in range(dice.randrange(1, 14)))
    all_of = sorted(dice.randrange(spread) for _ in range(dice.randrange(len(any_of) + 1)))
    pairs, least = by_scipy(all_of, any_of, reach) if all_of else (0, 0)
    if pairs < len(all_of):
        with pytest.raises(ValueError, match="not all"):
            least_sum(all_of, any_of, reach)
        return
    taken = least_sum(all_of, any_of, reach)
    chosen = [place for place, is_taken in zip(any_of, taken, strict=True) if is_taken]
    distances = [abs(one - other) for one, other in zip(all_of, chosen, strict=True)]
    assert sum(distances) == least
    assert max(distances, default=0) <= reach


def test_the_first_of_equal_sizes_are_taken() -> None:
    assert least_sum([5], [5, 5, 5], 1) == [True, False, False]
    assert least_sum([9], [5, 5, 5], 9) == [True, False, False]


def test_time_that_has_ended_leaves_the_most_pairs_and_bounds() -> None:
    places, offered, reach = centred([100, 104, 110], [60, 63, 73, 99], 35, 45)
    best = best_pairing(places, offered, reach)
    looks = 0

    def after(count: int) -> bool:
        nonlocal looks
        looks += 1
        return looks > count

    for count in range(12):
        looks = 0
        found = best_pairing(places, offered, reach, lambda count=count: after(count))
        assert found.mates.count(-1) == best.mates.count(-1)
        assert found.largest >= best.largest >= found.largest_bound
        assert found.total_bound <= found.total
        if found.proven:
            assert found == best
    with pytest.raises(OutOfTimeError):
        least_sum([1], [1], 1, lambda: True)
