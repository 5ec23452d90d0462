"""Settle a pool level by level, each proven in whole numbers before the next is looked at.

On each level the takers' known choices are mixed by a linear programme (column generation). Its
prices, rounded to whole numbers, give an exact lower bound; where a whole solution reaches it, that
is the proof, and everything dearer than the gap is left out for good. Where none does, CP-SAT
closes what is left between the two.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitsolver.allotment.close import look, prove
from fitsolver.allotment.compact import compact
from fitsolver.allotment.master import Master
from fitsolver.allotment.pool import (
    Choice,
    Ints,
    Pool,
    Priced,
    cheapest,
    cost,
    priced,
    usage,
)
from fitsolver.allotment.restrict import Restricted, carried, moved_choice, restrict
from fitsolver.allotment.whole import among, below
from fitsolver.solving.search import Clock

#: By what prices are multiplied before they are rounded: small ones leave no gap where the
#: prices are simple fractions, the large one serves any.
_SCALES: Final = (1, 2, 3, 4, 6, 12, 60, 1 << 14)
_MOST_ROUNDS: Final = 500
#: How much of the best prices so far is mixed into new ones: prices of early rounds leap about.
_STEADY: Final = 0.5


@dataclass(frozen=True, slots=True)
class Settled:
    """A choice of every taker, and what all come to on each level, with the proven bound.

    Levels after the first that is not proven have no bound (None). `left` is the pool of all
    choices that are as good (with rows that hold the levels where it is not of them alone), and
    of which items and ways of the pool its own are.
    """

    choices: tuple[Choice, ...]
    values: tuple[int, ...]
    bounds: tuple[int | None, ...]
    left: Restricted

    @property
    def proven(self) -> bool:
        return self.values == self.bounds


class _Proof(NamedTuple):
    """Prices and their scale, the bound they prove, and everything priced with them."""

    bound: int
    scaled: int
    scale: int
    prices: Ints
    whole: Priced


class _Level(NamedTuple):
    known: dict[int, Choice]
    bound: int
    proof: _Proof
    choices: Collection[Choice]


def settle(
    pool: Pool,
    start: dict[int, Choice],
    clock: Clock,
    names: Sequence[str],
    seeds: Collection[Choice] = (),
) -> Settled:
    """Return the best solution of a pool; `start` is any solution, `seeds` choices worth a look.

    `names` are those of the levels to settle, the first of the pool's. Ends early when the clock
    does; then the levels say how far they are proven.
    """
    whole_pool, known, seen = pool, start, dict.fromkeys(seeds)
    item_of = np.arange(len(pool.costs))
    way_of = np.arange(len(pool.way_taker))
    bounds: list[int | None] = []
    for level, name in enumerate(names):
        clock.tell(name)
        found = _settle_level(pool, level, known, seen, clock)
        known, value = found.known, _value(pool, found.known, level)
        bounds.append(found.bound)
        if found.bound < value:
            break
        left = restrict(found.proof.whole, found.proof.prices, _gap(found.proof, value))
        moved = carried(known, left)
        assert moved is not None, "what is best is never left out"
        ways = {int(way): index for index, way in enumerate(left.way_of)}
        seen = {c: None for old in found.choices if (c := moved_choice(old, left, ways))}
        known, pool = moved, left.pool if left.exact else _held(left, level, value)
        item_of, way_of = item_of[left.item_of], way_of[left.way_of]
    mine = dict(sorted(_back(known, Restricted(pool, True, item_of, way_of)).items()))
    choices = tuple(mine.values())
    values = tuple(_value(whole_pool, mine, level) for level in range(len(names)))
    bounds += [None] * (len(values) - len(bounds))
    return Settled(choices, values, tuple(bounds), Restricted(pool, True, item_of, way_of))


def _value(pool: Pool, known: dict[int, Choice], level: int) -> int:
    return sum(cost(pool, choice.items, level) for choice in known.values())


def _gap(proof: _Proof, value: int) -> int:
    return value * proof.scale - proof.scaled


def _held(left: Restricted, level: int, value: int) -> Pool:
    """Return the pool with a row more, that holds a level where it is settled."""
    pool = left.pool
    row = len(pool.capacity)
    rows = np.where(pool.rows == row, row + 1, pool.rows)  # the padding moves on
    costs = pool.costs[:, level]
    return replace(
        pool,
        rows=np.column_stack([rows, np.where(costs > 0, row, row + 1)]),
        takes=np.column_stack([pool.takes, costs]),
        capacity=np.append(pool.capacity, value),
        tight=np.append(pool.tight, False),
    )


def _settle_level(
    pool: Pool, level: int, known: dict[int, Choice], seen: Collection[Choice], clock: Clock
) -> _Level:
    value = _value(pool, known, level)
    none = np.zeros(len(pool.capacity), dtype=np.int64)
    proof = _proof(pool, level, none, 1)
    if proof.bound < value:
        free = {choice.taker: choice for choice in cheapest(proof.whole)}
        if fits(pool, free):
            known, value = free, proof.bound
    if proof.bound == value or clock.left == 0:
        return _Level(known, proof.bound, proof, seen)
    master = Master(pool, level)
    master.add([*known.values(), *seen])
    prices, better = _mix(pool, level, master, value, clock)
    proof = max(
        (proof, *(_proof(pool, level, _rounded(pool, prices, s), s) for s in _SCALES)),
        key=lambda p: (p.bound, -_gap(p, p.bound) / p.scale),
    )
    known = better or known
    value = _value(pool, known, level)
    if proof.bound < value:
        look = among(pool, level, list(master.choices), known, proof.bound, clock)
        known = look or known
        value = _value(pool, known, level)
    bound = proof.bound
    if bound < value and clock.left != 0:
        known, bound = _close(pool, level, known, proof, clock)
    return _Level(known, bound, proof, list(master.choices))


def _close(
    pool: Pool, level: int, known: dict[int, Choice], proof: _Proof, clock: Clock
) -> tuple[dict[int, Choice], int]:
    """Look for anything better in what the bound leaves, until there is none."""
    value = _value(pool, known, level)
    left = restrict(proof.whole, proof.prices, _gap(proof, value))
    found = look(compact(left.pool, level), clock)
    if found is not None and fits(left.pool, found):
        known = min(known, _back(found, left), key=lambda some: _value(pool, some, level))
        value = _value(pool, known, level)
    if value == proof.bound or clock.left == 0:
        return known, proof.bound
    gap = partial(_gap, proof)
    listed = below(proof.whole, level, gap, value, proof.bound, proof.prices, clock)
    known = listed.choices or known
    value = _value(pool, known, level)
    if listed.bound == value or clock.left == 0:
        return known, listed.bound
    left = restrict(proof.whole, proof.prices, _gap(proof, value))
    found, bound = prove(compact(left.pool, level), value, listed.bound, clock)
    return known if found is None else _back(found, left), bound


def _back(choices: dict[int, Choice], left: Restricted) -> dict[int, Choice]:
    """Return choices of the smaller pool as those of the larger."""
    return {
        taker: Choice(taker, int(left.way_of[c.way]), tuple(int(left.item_of[i]) for i in c.items))
        for taker, c in choices.items()
    }


def _mix(
    pool: Pool, level: int, master: Master, value: int, clock: Clock
) -> tuple[NDArray[np.float64], dict[int, Choice] | None]:
    """Return the prices of the best bound found, and the best whole solution on the way."""
    costs = pool.costs[:, level].astype(np.float64)
    best, reached = np.zeros(len(pool.capacity)), -np.inf
    better: dict[int, Choice] | None = None
    for _ in range(_MOST_ROUNDS):
        if clock.left == 0 or not master.solve():
            break
        whole = master.whole()
        if whole is not None and _value(pool, whole, level) < value:
            better, value = whole, _value(pool, whole, level)
        prices = master.prices()
        steady = _STEADY if np.isfinite(reached) else 0.0
        added = 0
        for tried in (steady * best + (1 - steady) * prices, prices):
            look = priced(pool, costs, tried)
            bound = float(look.taker.sum() - tried @ pool.capacity)
            if bound > reached:
                best, reached = tried, bound
            added = master.add(cheapest(look))
            if added:
                break
        near = 1e-7 * max(1.0, abs(master.value))
        if not added or reached >= value - near or master.value - reached <= near:
            break
    return best, better


def _rounded(pool: Pool, prices: NDArray[np.float64], scale: int) -> Ints:
    whole = np.rint(prices * scale).astype(np.int64)
    return np.where(pool.tight, whole, np.maximum(whole, 0))


def _proof(pool: Pool, level: int, prices: Ints, scale: int) -> _Proof:
    whole = priced(pool, pool.costs[:, level] * scale, prices)
    scaled = int(whole.taker.sum()) - int(prices @ pool.capacity)
    return _Proof(-(-scaled // scale), scaled, scale, prices, whole)


def fits(pool: Pool, choices: dict[int, Choice]) -> bool:
    """Tell whether choices stay within the capacity of every row (come to it where tight)."""
    taken = usage(pool, [item for choice in choices.values() for item in choice.items])
    used = np.array([taken.get(row, 0) for row in range(len(pool.capacity))], dtype=np.int64)
    return bool(np.where(pool.tight, used == pool.capacity, used <= pool.capacity).all())
