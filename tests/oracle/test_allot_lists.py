"""Lists of choices against all there is: small pools and listings gone through one by one."""

from __future__ import annotations

from itertools import product
from random import Random

import numpy as np
import pytest
from scipy.sparse import csr_array

from fitsolver.allotment.columns import columns
from fitsolver.allotment.gomory import _Summing, cutting_rows
from fitsolver.allotment.listing import Listing
from fitsolver.allotment.packing import Demand, Kept
from fitsolver.allotment.pool import Choice, Items, Pool, demand, pool_of, value_of
from fitsolver.allotment.proof import Proof, proof_by
from fitsolver.allotment.raising import raised
from fitsolver.allotment.tableau import Tableau
from fitsolver.base.deadline import Clock

SEEDS = range(40)


def nested(dice: Random) -> Pool:
    """Takers whose ways share places, each reaching a little farther, as sizes of removal do."""
    rows, items, takers = 4, Items(), []
    for _ in range(dice.randrange(1, 4)):
        mine = []
        for _ in range(dice.randrange(1, 3)):
            starts, ends = [], []
            for _ in range(dice.randrange(1, 4)):
                starts.append(len(items))
                for _ in range(dice.randrange(2, 6)):
                    takes = tuple(
                        (row, dice.randrange(1, 3)) for row in dice.sample(range(rows), 2)
                    )
                    items.add((dice.randrange(9),), takes)
                ends.append(len(items))
            last = [start + 1 for start in starts]
            for own in range(dice.randrange(1, 5)):
                at = items.add((own,))
                mine.append([(at, at + 1), *zip(starts, last, strict=True)])
                last = [min(e, x + dice.randrange(3)) for x, e in zip(last, ends, strict=True)]
        takers.append(mine)
    return pool_of(takers, items, [dice.randrange(3, 9) for _ in range(rows)], 1)


def choices(pool: Pool) -> list[list[Choice]]:
    """Return every choice of every taker."""
    found: list[list[Choice]] = [[] for _ in range(pool.takers)]
    for way, taker in enumerate(pool.way_taker.tolist()):
        places = range(int(pool.way_places[way]), int(pool.way_places[way + 1]))
        spans = [range(int(pool.first[place]), int(pool.last[place])) for place in places]
        found[taker] += [Choice(taker, way, items) for items in product(*spans)]
    return found


def cheapest(pool: Pool, proof: Proof, gap: int, rows: set[int]) -> dict[tuple[int, Demand], int]:
    """Return the least cost by taker and demand of every choice within the gap.

    None that takes more of a row told than there is.
    """
    found: dict[tuple[int, Demand], int] = {}
    for taker, mine in enumerate(choices(pool)):
        for choice in mine:
            price = sum(int(proof.whole.item[item]) for item in choice.items)
            if price > proof.whole.taker[taker] + gap:
                continue
            told = tuple(sorted((r, m) for r, m in demand(pool, choice).items() if r in rows))
            if any(much > pool.capacity[row] for row, much in told):
                continue
            cost = value_of(pool, {taker: choice}, 0)
            found[taker, told] = min(cost, found.get((taker, told), cost))
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_columns_are_the_cheapest_of_each_demand(seed: int) -> None:
    dice = Random(seed)
    pool, clock = nested(dice), Clock(None)
    prices = np.array([dice.randrange(3) for _ in pool.capacity], dtype=np.int64)
    proof, gap = proof_by(pool, 0, prices, 1), dice.randrange(2, 12)
    few, more = {0, 1}, {0, 1, 2}
    told = columns(proof.whole, 0, gap, few, clock)
    assert told is not None
    assert {(c.taker, d): cost for c, cost, d in told} == cheapest(pool, proof, gap, few)
    for choice, cost, _ in told:
        assert value_of(pool, {choice.taker: choice}, 0) == cost

    kept = {(choice.taker, takes) for choice, _, takes in told if dice.random() < 0.5}
    again = columns(proof.whole, 0, gap, more, clock, Kept(few, kept))
    assert again is not None
    every = cheapest(pool, proof, gap, more)
    own = {key: cost for key, cost in every.items() if (key[0], _only(key[1], few)) in kept}
    assert {(c.taker, d): cost for c, cost, d in again} == own


def _only(told: Demand, rows: set[int]) -> Demand:
    return tuple(pair for pair in told if pair[0] in rows)


def drawn(dice: Random) -> Listing:
    takers, rows = dice.randrange(3, 7), dice.randrange(2, 5)
    taker = [t for t in range(takers) for _ in range(dice.randrange(2, 6))]
    takes = [[dice.choice((0, 0, 1, 2, 3)) for _ in taker] for _ in range(rows)]
    return Listing(
        takers=takers,
        columns=[(Choice(t, at, ()), 0, ()) for at, t in enumerate(taker)],
        rows=range(rows),
        units=np.ones(rows, dtype=np.int64),
        taker=np.array(taker, dtype=np.int64),
        cost=np.array([dice.randrange(1, 60) for _ in taker], dtype=np.int64),
        takes=csr_array(np.array(takes, dtype=np.int64)),
        capacity=np.array([dice.randrange(2, 2 * takers) for _ in range(rows)], dtype=np.int64),
        tight=np.array([dice.random() < 0.2 for _ in range(rows)], dtype=np.bool_),
    )


def solutions(listing: Listing) -> list[tuple[int, ...]]:
    """Return every whole solution within the rows, as columns."""
    each = [np.flatnonzero(listing.taker == taker).tolist() for taker in range(listing.takers)]
    takes = listing.takes.toarray()
    found = []
    for chosen in product(*each):
        used = takes[:, list(chosen)].sum(axis=1)
        held = np.where(listing.tight, used == listing.capacity, used <= listing.capacity)
        if held.all():
            found.append(chosen)
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_whatever_rows_are_summed_with_no_whole_solution_is_cut_off(seed: int) -> None:
    dice = Random(seed)
    listing = drawn(dice)
    known, summing = solutions(listing), _Summing(listing)
    for _ in range(40):
        size = listing.takers + len(listing.capacity)
        multipliers = np.array([dice.randrange(-9, 10) for _ in range(size)], dtype=np.int64)
        row = summing.rounded(multipliers, dice.randrange(2, 9))
        if row is not None:
            assert row[0].min() >= 0
            assert all(int(row[0][list(chosen)].sum()) <= row[1] for chosen in known)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_raised_bound_is_one(seed: int) -> None:
    listing = drawn(Random(seed))
    found = [(int(listing.cost[list(chosen)].sum()), chosen) for chosen in solutions(listing)]
    best = min((cost for cost, _ in found), default=None)
    for most in (90, 200) if best is None else (best - 1, best, best + 20):
        told = raised(listing, 0, most, Clock(None))
        assert best is None or told.bound <= best or best > most
        for cost, chosen in found:
            if cost <= most:
                assert told.left(most)[list(chosen)].all()
                assert (told.listing.takes @ _one(listing, chosen) <= told.listing.capacity).all()
        near = told.nearest(most, 3)
        assert min(most, told.bound) <= near <= most


def _one(listing: Listing, chosen: tuple[int, ...]) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    return np.bincount(chosen, minlength=len(listing.taker)).astype(np.int64)


def test_corners_are_cut_off() -> None:
    """Over many listings the rows close most of what shares leave open: they are no idle ones."""
    opened = closed = rows = 0
    for seed in range(120):
        listing = drawn(Random(seed))
        best = min((int(listing.cost[list(c)].sum()) for c in solutions(listing)), default=None)
        if best is None:
            continue
        tableau = Tableau(listing, best)
        assert tableau.solve(20.0)
        opened += tableau.objective.Value() < best - 1e-6
        takes, _ = cutting_rows(listing, tableau.shares(), tableau.multipliers())
        rows += len(takes)
        closed += tableau.objective.Value() < best - 1e-6 and (
            raised(listing, 0, best, Clock(None)).bound == best
        )
    assert opened > 30
    assert rows > opened
    assert closed > 0.8 * opened
