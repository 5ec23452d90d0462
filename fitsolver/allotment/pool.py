"""Takers that choose from one pool of scarce things, as arrays of whole numbers.

Every taker takes exactly one of its *ways*; a way has *places*, and at each place one *item* is
taken out of a range of items. An item has a cost on every level and takes some of a few rows.
What all takers take of a row stays within its capacity (`tight` rows: comes to it exactly).

A price on the rows turns this into one small question a taker: the cheapest way with the cheapest
item at every place. That gives a lower bound on the cost of all, exact in integers for whatever
prices (Lagrangian relaxation of the rows), and how much dearer any choice is than the cheapest.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
#: Whole numbers kept in as little room as they need: there may be a million items.
Few = NDArray[np.int32] | NDArray[np.int64]
Flags = NDArray[np.bool_]
#: Dearer than any choice, and yet a few of it add up within 64 bits.
NEVER: Final = 10**16


@dataclass(frozen=True, slots=True)
class Pool:
    """Ways sorted by taker, places by way; place p takes an item of `first[p]` to `last[p]` - 1.

    `way_taker` (ways); `way_places` (ways + 1) where the places of each way begin; `costs`
    (items, levels); `rows`, `takes` (items, most rows an item has): row and how much of it, padded
    with the row one past the last. `way_rows` (n) are rows of which ways take `way_takes` (ways, n)
    as a whole. `capacity`, `tight` (rows).
    """

    takers: int
    way_taker: Ints
    way_places: Ints
    first: Ints
    last: Ints
    costs: Few
    rows: Few
    takes: Few
    way_rows: Ints
    way_takes: Ints
    capacity: Ints
    tight: Flags

    @property
    def place_way(self) -> Ints:
        """Return (places) the way of each place."""
        return np.repeat(np.arange(len(self.way_taker)), np.diff(self.way_places))

    def least_of_ways(self, figures: NDArray[np.float64] | Ints) -> NDArray[np.float64] | Ints:
        """Return (takers) the least of a figure (ways) over the ways of each taker."""
        starts = np.flatnonzero(np.diff(self.way_taker, prepend=-1))
        return np.minimum.reduceat(figures, starts)

    def with_room(self, capacity: Sequence[int]) -> Pool:
        """Return the pool with rows more, of which nothing takes anything yet."""
        known, more = len(self.capacity), len(capacity)
        return replace(
            self,
            rows=np.where(self.rows == known, known + more, self.rows),  # the padding moves on
            capacity=np.append(self.capacity, np.array(capacity, dtype=np.int64)),
            tight=np.append(self.tight, np.zeros(more, dtype=np.bool_)),
        )


class Choice(NamedTuple):
    """One taker's way, and an item for each of its places."""

    taker: int
    way: int
    items: tuple[int, ...]


class Items:
    """Items in the making, kept as plain numbers: there may be a million."""

    def __init__(self) -> None:
        self.costs, self.takes, self.ends = array("q"), array("q"), array("q")

    def __len__(self) -> int:
        return len(self.ends)

    def add(self, costs: Iterable[int], takes: Iterable[tuple[int, int]] = ()) -> int:
        """Add an item with its cost by level and (row, how much) pairs; returns its number."""
        self.costs.extend(costs)
        for pair in takes:
            self.takes.extend(pair)
        self.ends.append(len(self.takes) // 2)
        return len(self.ends) - 1

    def padded(self, rows: int) -> tuple[Ints, Ints]:
        """Return rows and takes of all items, padded with the row one past the last."""
        ends = np.array(self.ends, dtype=np.int64)
        lengths = np.diff(ends, prepend=0)
        shape = len(ends), int(lengths.max(initial=0))
        found = np.full(shape, rows, dtype=np.int64), np.zeros(shape, dtype=np.int64)
        pairs = np.array(self.takes, dtype=np.int64).reshape(-1, 2)
        item = np.repeat(np.arange(len(ends)), lengths)
        at = np.arange(len(pairs)) - np.repeat(ends - lengths, lengths)
        found[0][item, at], found[1][item, at] = pairs[:, 0], pairs[:, 1]
        return found


def pool_of(
    takers: Sequence[Sequence[Sequence[tuple[int, int]]]],
    items: Items,
    capacity: Sequence[int],
    levels: int,
) -> Pool:
    """Return the pool of takers, each a list of ways, each a list of item ranges (places)."""
    way_taker = [taker for taker, ways in enumerate(takers) for _ in ways]
    places = [way for ways in takers for way in ways]
    ranges = [span for way in places for span in way]
    rows, takes = items.padded(len(capacity))
    return Pool(
        takers=len(takers),
        way_taker=np.array(way_taker, dtype=np.int64),
        way_places=np.cumsum([0, *(len(way) for way in places)], dtype=np.int64),
        first=np.array([low for low, _ in ranges], dtype=np.int64),
        last=np.array([high for _, high in ranges], dtype=np.int64),
        costs=small(np.frombuffer(items.costs, dtype=np.int64).reshape(-1, levels)),
        rows=small(rows),
        takes=small(takes),
        way_rows=np.zeros(0, dtype=np.int64),
        way_takes=np.zeros((len(places), 0), dtype=np.int64),
        capacity=np.array(capacity, dtype=np.int64),
        tight=np.zeros(len(capacity), dtype=np.bool_),
    )


@dataclass(frozen=True, slots=True)
class Priced:
    """A pool under prices: of each item, the least of each place, way and taker (scaled)."""

    pool: Pool
    item: NDArray[np.float64] | Ints
    place: NDArray[np.float64] | Ints
    way: NDArray[np.float64] | Ints
    taker: NDArray[np.float64] | Ints


def priced(
    pool: Pool, costs: NDArray[np.float64] | Ints, prices: NDArray[np.float64] | Ints
) -> Priced:
    """Return what everything comes to when items cost `costs` and rows `prices` a unit."""
    padded = np.append(prices, np.zeros(1, dtype=prices.dtype))
    item = costs + (padded[pool.rows] * pool.takes).sum(axis=1)
    place = least_of_ranges(item, pool.first, pool.last)
    way = np.add.reduceat(place, pool.way_places[:-1]) + pool.way_takes @ prices[pool.way_rows]
    return Priced(pool, item, place, way, pool.least_of_ways(way))


def least_of_ranges(
    item: NDArray[np.float64] | Ints, first: Ints, last: Ints
) -> NDArray[np.float64] | Ints:
    """Return the least item of every range; a range may begin where others do."""
    edges = np.empty(2 * len(first), dtype=np.int64)
    edges[0::2], edges[1::2] = first, last
    closed = np.append(item, item.dtype.type(NEVER))  # so that a range may end at the last item
    return np.minimum.reduceat(closed, edges)[0::2]


def blocks_of(first: Ints, last: Ints) -> tuple[Ints, Ints, Ints]:
    """Return of ranges that begin alike (blocks) where each begins and ends, and (ranges) which."""
    begins, block = np.unique(first, return_inverse=True)
    ends = np.zeros(len(begins), dtype=np.int64)
    np.maximum.at(ends, block, last)
    return begins, ends, block


def cheapest(whole: Priced) -> list[Choice]:
    """Return the cheapest choice of every taker, the first of equals."""
    pool = whole.pool
    ways = np.flatnonzero(whole.way == whole.taker[pool.way_taker])
    _, at = np.unique(pool.way_taker[ways], return_index=True)
    return [choice_of(whole, int(way)) for way in ways[at]]


def choice_of(whole: Priced, way: int) -> Choice:
    """Return the cheapest items of a way."""
    pool = whole.pool
    items = tuple(
        int(pool.first[place] + np.argmin(whole.item[pool.first[place] : pool.last[place]]))
        for place in range(int(pool.way_places[way]), int(pool.way_places[way + 1]))
    )
    return Choice(int(pool.way_taker[way]), way, items)


def usage(pool: Pool, choices: Iterable[Choice]) -> Ints:
    """Return (rows) how much of each row the choices take together."""
    taken = np.zeros(len(pool.capacity) + 1, dtype=np.int64)
    told = list(choices)
    items = [item for choice in told for item in choice.items]
    np.add.at(taken, pool.rows[items], pool.takes[items])
    np.add.at(taken, pool.way_rows, pool.way_takes[[choice.way for choice in told]].sum(axis=0))
    return taken[:-1]


def demand(pool: Pool, choice: Choice) -> dict[int, int]:
    """Return how much of which rows one choice takes."""
    found: dict[int, int] = {}
    for item in choice.items:
        for row, much in zip(pool.rows[item].tolist(), pool.takes[item].tolist(), strict=True):
            if much:
                found[row] = found.get(row, 0) + much
    told = pool.way_takes[choice.way].tolist()
    found.update((row, m) for row, m in zip(pool.way_rows.tolist(), told, strict=True) if m)
    return found


def fits(pool: Pool, choices: Mapping[int, Choice]) -> bool:
    """Tell whether choices stay within the capacity of every row (come to it where tight)."""
    return bool(within(pool, choices).all())


def within(pool: Pool, choices: Mapping[int, Choice]) -> Flags:
    """Tell of every row whether choices stay within its capacity (come to it where tight)."""
    used = usage(pool, choices.values())
    return np.where(pool.tight, used == pool.capacity, used <= pool.capacity)


def cost(pool: Pool, items: Sequence[int], level: int) -> int:
    """Return what the items cost together on a level."""
    return int(pool.costs[list(items), level].sum())


def value_of(pool: Pool, choices: Mapping[int, Choice], level: int) -> int:
    """Return what choices cost together on a level."""
    return sum(cost(pool, choice.items, level) for choice in choices.values())


def small(figures: NDArray[np.integer[Any]]) -> Few:
    """Return figures in 32 bits where they have room in them."""
    most = max(int(figures.max(initial=0)), -int(figures.min(initial=0)))
    if most <= np.iinfo(np.int32).max:
        return figures.astype(np.int32)
    return figures.astype(np.int64)


def step_of(costs: Few) -> int:
    """Return what every sum of whole costs is a multiple of."""
    return int(np.gcd.reduce(costs)) or 1
