"""Ways split by what a list tells: each then takes one thing only of every row told.

So rows that are of choices as a whole, which raised the bound of the list, go on as rows of the
pool, and what they leave out is left out for good.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import accumulate
from typing import Final, NamedTuple

import numpy as np

from fitsolver.allotment.packing import Kept, Left, Packing
from fitsolver.allotment.pool import NEVER, Ints, Pool
from fitsolver.allotment.raising import Raised
from fitsolver.allotment.restrict import Restricted

#: With more places than this ways are not split.
_MOST: Final = 1_000_000

_Span = tuple[int, int]


class Split(NamedTuple):
    """A pool of which every choice is in the list, and the prices that prove its bound."""

    left: Restricted
    prices: Ints
    scale: int


class _Group(NamedTuple):
    """Items of a block that take the same of the rows told: side by side from `start` on.

    `least` is the least cost up to each of them.
    """

    takes: int
    start: int
    items: Sequence[int]
    least: Sequence[int]


class _Part(NamedTuple):
    """What is chosen at some places of a way: what it takes, its least cost, its ranges."""

    takes: int
    cost: int
    spans: tuple[_Span, ...]


class _Way(NamedTuple):
    """A way in the making: its ranges of items, which way it is part of, its column of the list."""

    taker: int
    spans: tuple[_Span, ...]
    way: int
    column: int


def split(pool: Pool, level: int, told: Raised, value: int) -> Split | None:
    """Return the pool of what can be in a solution of `value`, as far as a list tells.

    `told` lists all of the pool that can. None: it is too much.
    """
    parts, ways, places = _Parts(pool, level, told, value), list[_Way](), 0
    for way, taker in enumerate(pool.way_taker.tolist()):
        for each in parts.of_way(way, taker):
            ways.append(each)
            places += len(each.spans)
        if places > _MOST:
            return None
    # Ways that share places side by side, the narrower first.
    ways.sort(key=lambda each: (each.taker, [first for first, _ in each.spans[1:]], each.way))
    return _made(pool, told, ways, parts.order)


class _Parts:
    """`order` has the items of the pool in their new places."""

    def __init__(self, pool: Pool, level: int, told: Raised, value: int) -> None:
        self.pool, self.costs = pool, pool.costs[:, level]
        self.bounds, self.first = pool.way_places.tolist(), pool.first.tolist()
        self.last = pool.last.tolist()
        self.as_whole = pool.way_takes.tolist()
        listing = told.listing.only(told.left(value))
        spare = told.spare(value)[told.left(value)] // told.scale
        takes = [(choice.taker, demand) for choice, _, demand in listing.columns]
        self.packing = Packing(pool, listing.rows)
        self.kept = Left(Kept(listing.rows, takes), self.packing)
        self.column = {
            (taker, self.packing.packed(demand)): int(at)
            for (taker, demand), at in zip(takes, np.flatnonzero(told.left(value)), strict=True)
        }
        # What a choice may cost that takes just as much, and any at all of a taker.
        most = listing.cost + spare
        self.most = dict(zip(self.column, most.tolist(), strict=True))
        self.of_taker = (-listing.of_takers(-most)).tolist()
        self.order: list[int] = []
        self.groups = self._blocks()

    def of_way(self, way: int, taker: int) -> Iterator[_Way]:
        """Yield the parts of a way."""
        whole = zip(self.pool.way_rows.tolist(), self.as_whole[way], strict=True)
        parts = [_Part(self.packing.packed(whole), 0, ())]
        offered = [self._offered(place) for place in range(self.bounds[way], self.bounds[way + 1])]
        rest = sum(min((cost for _, cost, _ in some), default=NEVER) for some in offered)
        for some in offered:
            rest -= min((cost for _, cost, _ in some), default=NEVER)
            most = self.of_taker[taker] - rest
            parts = [
                _Part(key, part.cost + cost, (*part.spans, span))
                for part in parts
                for takes, cost, span in some
                if part.cost + cost <= most and self.kept.within(taker, key := part.takes + takes)
            ]
        for part in parts:
            if part.cost <= self.most.get((taker, part.takes), -NEVER):
                yield _Way(taker, part.spans, way, self.column[taker, part.takes])

    def _offered(self, place: int) -> list[tuple[int, int, _Span]]:
        """Return what can be taken at a place: of the rows told, at what cost, which items."""
        last, found = self.last[place], []
        for group in self.groups[self.first[place]]:
            count = bisect_left(group.items, last)
            if count:
                span = group.start, group.start + count
                found.append((group.takes, group.least[count - 1], span))
        return found

    def _blocks(self) -> dict[int, list[_Group]]:
        """Return the items of places that begin alike, in groups, by where those places begin."""
        pool, costs = self.pool, self.costs.tolist()
        begins, block = np.unique(pool.first, return_inverse=True)
        ends = np.zeros(len(begins), dtype=np.int64)
        np.maximum.at(ends, block, pool.last)
        found: dict[int, list[_Group]] = {}
        for begin, end in zip(begins.tolist(), ends.tolist(), strict=True):
            alike: dict[int, list[int]] = defaultdict(list)
            told = zip(pool.rows[begin:end].tolist(), pool.takes[begin:end].tolist(), strict=True)
            for item, (rows, much) in enumerate(told, start=begin):
                alike[self.packing.packed(zip(rows, much, strict=True))].append(item)
            found[begin] = []
            for takes, items in alike.items():
                least = list(accumulate((costs[item] for item in items), min))
                found[begin].append(_Group(takes, len(self.order), items, least))
                self.order += items
        return found


def _made(pool: Pool, told: Raised, ways: Sequence[_Way], order: Sequence[int]) -> Split:
    listing, rows = told.listing, np.array(told.listing.rows, dtype=np.int64)
    item_of = np.array(order, dtype=np.int64)
    way_of = np.array([each.way for each in ways], dtype=np.int64)
    column = np.array([each.column for each in ways], dtype=np.int64)
    ranges = np.array([span for each in ways for span in each.spans], dtype=np.int64)
    # Rows told in the pool's own units are its own; others, if they have a price, are new.
    own = np.flatnonzero(listing.units == 1)
    new = np.setdiff1d(np.flatnonzero(told.prices), own)
    prices = np.zeros(len(pool.capacity), dtype=np.int64)
    prices[rows[own]] = told.prices[own]
    known = len(pool.capacity)
    wider = pool.with_room(listing.capacity[new].tolist())
    takes = np.asarray(listing.takes.tocsr()[new, :].toarray(), dtype=np.int64).T[column]
    made = replace(
        wider,
        way_taker=np.array([each.taker for each in ways], dtype=np.int64),
        way_places=np.cumsum([0, *(len(each.spans) for each in ways)], dtype=np.int64),
        first=ranges[:, 0],
        last=ranges[:, 1],
        costs=wider.costs[item_of],
        rows=wider.rows[item_of],
        takes=wider.takes[item_of],
        way_rows=np.append(pool.way_rows, np.arange(known, known + len(new))),
        way_takes=np.column_stack([pool.way_takes[way_of], takes]),
        tight=np.append(pool.tight, listing.tight[new]),
    )
    return Split(
        Restricted(made, False, item_of, way_of), np.append(prices, told.prices[new]), told.scale
    )
