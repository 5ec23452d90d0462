"""What a settled level leaves, against every solution of small pools gone through one by one."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from random import Random

import numpy as np
import pytest

from fitsolver.allotment.columns import columns
from fitsolver.allotment.leaving import narrowed
from fitsolver.allotment.listing import listing_of
from fitsolver.allotment.pool import Choice, Items, Pool, fits, pool_of, value_of
from fitsolver.allotment.proof import Proof, proof_by
from fitsolver.allotment.raising import Raised, raised
from fitsolver.allotment.restrict import Restricted, back
from fitsolver.allotment.splitting import split
from fitsolver.base.deadline import Clock

from .test_allot_lists import choices

SEEDS = range(60)
#: A solution by taker: the way and the items of each choice.
_Solution = tuple[tuple[int, tuple[int, ...]], ...]
_Case = tuple[Pool, Proof, Raised, int, set[_Solution]]


def drawn(dice: Random) -> Pool:
    """Takers with a few ways, the next of which reaches farther; of what costs alike there is
    much.
    """
    rows, items, takers = 4, Items(), []
    for _ in range(dice.randrange(3, 5)):
        mine = []
        for _ in range(dice.randrange(1, 3)):
            spans = []
            for _ in range(dice.randrange(1, 3)):
                first = len(items)
                for _ in range(dice.randrange(1, 4)):
                    takes = [(row, dice.choice((2, 4))) for row in dice.sample(range(rows), 2)]
                    items.add((10 * dice.randrange(4),), takes)
                spans.append((first, len(items)))
            own = dice.randrange(3)
            at = items.add((10 * own,))
            mine.append([(at, at + 1), *((first, first + 1) for first, _ in spans)])
            at = items.add((10 * (own + dice.randrange(2)),))
            mine.append([(at, at + 1), *spans])
        takers.append(mine)
    return pool_of(takers, items, [dice.randrange(6, 14) for _ in range(rows)], 1)


def solutions(pool: Pool) -> Iterator[tuple[int, dict[int, Choice]]]:
    """Yield every solution with what it costs."""
    for chosen in product(*choices(pool)):
        one = {choice.taker: choice for choice in chosen}
        if fits(pool, one):
            yield value_of(pool, one, 0), one


def as_before(pool: Pool, left: Restricted) -> dict[_Solution, int]:
    """Return every solution of what is left, in terms of the pool, with its cost."""
    found = {}
    for _, one in solutions(left.pool):
        old = back(one, left)
        assert fits(pool, old)
        found[_key(old)] = value_of(pool, old, 0)
    return found


def _key(one: dict[int, Choice]) -> _Solution:
    return tuple((choice.way, choice.items) for _, choice in sorted(one.items()))


def case(seed: int) -> _Case | None:
    """Return a pool, a weak proof, a list of some rows, the best value and all that reach it."""
    dice = Random(seed)
    pool, clock = drawn(dice), Clock(None)
    every = list(solutions(pool))
    if not every:
        return None
    value = min(cost for cost, _ in every)
    prices = np.array([dice.randrange(3) for _ in pool.capacity], dtype=np.int64)
    proof = proof_by(pool, 0, prices, 1)
    rows = dice.sample(range(4), dice.randrange(2, 5))
    told = columns(proof.whole, 0, proof.gap(value), rows, clock)
    assert told is not None
    list_of = raised(listing_of(pool, told, rows), proof.bound, value, clock)
    return pool, proof, list_of, value, {_key(one) for cost, one in every if cost == value}


@pytest.fixture(params=SEEDS, name="found")
def some_case(request: pytest.FixtureRequest) -> _Case:
    found = case(request.param)
    if found is None:
        pytest.skip("nothing fits")
    return found


def test_ways_split_hold_all_that_is_as_good(found: _Case) -> None:
    pool, _, told, value, best = found
    parts = split(pool, 0, told, value, Clock(None))
    assert parts is not None
    assert best <= as_before(pool, parts.left).keys()
    assert parts.left.pool.capacity.dtype == np.int64
    again = proof_by(parts.left.pool, 0, parts.prices, parts.scale)
    assert told.bound <= again.bound <= value


def test_what_is_left_is_all_that_is_as_good(found: _Case) -> None:
    pool, proof, told, value, best = found
    for left in (proof.left(value), _left(proof, told, value)):
        held = as_before(pool, left)
        assert best <= held.keys()
        if left.exact:
            assert set(held.values()) == {value}


def _left(proof: Proof, told: Raised, value: int) -> Restricted:
    return narrowed(proof.left(value), 0, told, value, Clock(None))


def test_lists_leave_less_than_prices() -> None:
    """Over many pools: the list makes exact what prices alone leave open."""
    by_prices = by_list = cases = 0
    for seed in SEEDS:
        found = case(seed)
        if found is not None:
            _, proof, told, value, _ = found
            if told.bound < value:
                continue  # rows that are not told bind
            cases += 1
            by_prices += proof.left(value).exact
            by_list += _left(proof, told, value).exact
    assert by_prices < 0.5 * cases
    assert by_list > 0.9 * cases
