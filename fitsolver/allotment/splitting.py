"""Ways split by what a list tells: the parts of each take one thing only of the rows it has more.

So rows that are of choices as a whole, which raised the bound of the list, go on as rows of the
pool, and what they leave out is left out for good.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import accumulate
from typing import Final, NamedTuple

import numpy as np

from fitsolver.allotment.packing import Kept, Left, Packing
from fitsolver.allotment.pool import NEVER, Ints, Pool, blocks_of
from fitsolver.allotment.raising import Raised
from fitsolver.allotment.restrict import Restricted
from fitsolver.base.deadline import Clock

#: With more to go through than this, or to keep, ways are not split.
_MOST: Final = 5_000_000
_MOST_PLACES: Final = 1_000_000

_Span = tuple[int, int]


class Split(NamedTuple):
    """A pool of which every choice is in the list, and the prices that prove its bound."""

    left: Restricted
    prices: Ints
    scale: int


class _Group(NamedTuple):
    """Items of places that begin alike which take the same of the rows told.

    `least` is the least cost up to each of them.
    """

    takes: int
    items: Sequence[int]
    least: Sequence[int]


class _Part(NamedTuple):
    """What is chosen at some places of a way: what it takes, its least cost, a group each."""

    takes: int
    cost: int
    groups: tuple[int, ...]


#: Groups of every place, of which any go with any.
_Box = tuple[frozenset[int], ...]


class _Way(NamedTuple):
    """A way in the making: its ranges of items, which way it is part of, a column that is of it."""

    taker: int
    spans: tuple[_Span, ...]
    way: int
    column: int


def split(pool: Pool, level: int, told: Raised, value: int, clock: Clock) -> Split | None:
    """Return the pool of what can be in a solution of `value`, as far as a list tells.

    `told` lists all of the pool that can. None: it is too much, or the clock ended.
    """
    parts, ways, places = _Parts(pool, level, told, value), list[_Way](), 0
    for way, taker in enumerate(pool.way_taker.tolist()):
        for each in parts.of_way(way, taker):
            ways.append(each)
            places += len(each.spans)
        if places > _MOST_PLACES or parts.looked > _MOST or clock.left == 0:
            return None
    # Ways that share places side by side, the narrower first.
    ways.sort(key=lambda each: (each.taker, [first for first, _ in each.spans[1:]], each.way))
    return _made(pool, told, ways, parts)


class _Parts:
    """`order` has the items in their new places, `looked` counts what was gone through.

    `new` (rows, columns) is what columns of the list take of the rows that are new.
    """

    def __init__(self, pool: Pool, level: int, told: Raised, value: int) -> None:
        self.pool, self.costs = pool, pool.costs[:, level]
        self.bounds, self.first = pool.way_places.tolist(), pool.first.tolist()
        self.last = pool.last.tolist()
        self.as_whole = pool.way_takes.tolist()
        listing, left = told.listing, told.left(value)
        takes = [(choice.taker, demand) for choice, _, demand in listing.only(left).columns]
        self.packing = Packing(pool, listing.rows)
        self.kept = Left(Kept(listing.rows, takes), self.packing)
        self.column = {
            (taker, self.packing.packed(demand)): at
            for (taker, demand), at in zip(takes, np.flatnonzero(left).tolist(), strict=True)
        }
        # What a choice may cost that takes just as much, and any at all of a taker.
        most = listing.cost + told.spare(value) // told.scale
        self.most = most.tolist()
        self.of_taker = (-listing.of_takers(-most)).tolist()
        # Columns of one kind take the same of them.
        self.new = np.asarray(listing.takes.tocsr()[told.more_rows, :].toarray(), dtype=np.int64)
        self.kind = np.unique(self.new, axis=1, return_inverse=True)[1].tolist()
        self.groups = self._blocks()
        self.order: list[int] = []
        self.looked = 0
        self.runs: dict[tuple[int, frozenset[int]], tuple[int, list[int]]] = {}

    def of_way(self, way: int, taker: int) -> Iterator[_Way]:
        """Yield the parts of a way."""
        places = range(self.bounds[way], self.bounds[way + 1])
        boxes: dict[tuple[_Box, int], int] = {}
        for part in self._chosen(way, taker):
            column = self.column.get((taker, part.takes))
            if column is not None and part.cost <= self.most[column]:
                boxes[tuple(frozenset([at]) for at in part.groups), self.kind[column]] = column
        for at in range(len(places)):
            boxes = _joined(boxes, at)
        for (box, _), column in boxes.items():
            spans = tuple(self._span(p, which) for p, which in zip(places, box, strict=True))
            yield _Way(taker, spans, way, column)

    def _chosen(self, way: int, taker: int) -> list[_Part]:
        """Return every group with every other that may be in a list with it."""
        whole = zip(self.pool.way_rows.tolist(), self.as_whole[way], strict=True)
        parts = [_Part(self.packing.packed(whole), 0, ())]
        offered = [self._offered(place) for place in range(self.bounds[way], self.bounds[way + 1])]
        least = [min((cost for _, cost, _ in some), default=NEVER) for some in offered]
        rest = sum(least)
        for some, own in zip(offered, least, strict=True):
            rest -= own
            most = self.of_taker[taker] - rest
            parts = [
                _Part(key, part.cost + cost, (*part.groups, at))
                for part in parts
                for takes, cost, at in some
                if part.cost + cost <= most and self.kept.within(taker, key := part.takes + takes)
            ]
            self.looked += len(parts)
            if self.looked > _MOST:
                return []
        return parts

    def _offered(self, place: int) -> list[tuple[int, int, int]]:
        """Return what can be taken at a place: of the rows told, at what cost, which group."""
        last, found = self.last[place], []
        for at, group in enumerate(self.groups[self.first[place]]):
            count = bisect_left(group.items, last)
            if count:
                found.append((group.takes, group.least[count - 1], at))
        return found

    def _span(self, place: int, which: frozenset[int]) -> _Span:
        """Return the range of the items of some groups at a place, shared by all who have it."""
        first = self.first[place]
        if (first, which) not in self.runs:
            groups = self.groups[first]
            items = sorted(item for at in which for item in groups[at].items)
            self.runs[first, which] = len(self.order), items
            self.order += items
        start, items = self.runs[first, which]
        return start, start + bisect_left(items, self.last[place])

    def _blocks(self) -> dict[int, list[_Group]]:
        """Return the items of places that begin alike, in groups, by where those places begin."""
        pool, costs = self.pool, self.costs.tolist()
        begins, ends, _ = blocks_of(pool.first, pool.last)
        found: dict[int, list[_Group]] = {}
        for begin, end in zip(begins.tolist(), ends.tolist(), strict=True):
            alike: dict[int, list[int]] = defaultdict(list)
            told = zip(pool.rows[begin:end].tolist(), pool.takes[begin:end].tolist(), strict=True)
            for item, (rows, much) in enumerate(told, start=begin):
                alike[self.packing.packed(zip(rows, much, strict=True))].append(item)
            found[begin] = [
                _Group(takes, items, list(accumulate((costs[item] for item in items), min)))
                for takes, items in alike.items()
            ]
        return found


def _joined(boxes: Mapping[tuple[_Box, int], int], at: int) -> dict[tuple[_Box, int], int]:
    """Return the same with those joined that differ in a place alone, and are of one kind."""
    alike: dict[tuple[_Box, _Box, int], list[frozenset[int]]] = defaultdict(list)
    columns: dict[tuple[_Box, _Box, int], int] = {}
    for (box, kind), column in boxes.items():
        key = box[:at], box[at + 1 :], kind
        alike[key].append(box[at])
        columns[key] = column
    return {
        ((*before, frozenset[int]().union(*some), *after), kind): columns[before, after, kind]
        for (before, after, kind), some in alike.items()
    }


def _made(pool: Pool, told: Raised, ways: Sequence[_Way], parts: _Parts) -> Split:
    listing, rows = told.listing, np.array(told.listing.rows, dtype=np.int64)
    item_of = np.array(parts.order, dtype=np.int64)
    way_of = np.array([each.way for each in ways], dtype=np.int64)
    column = np.array([each.column for each in ways], dtype=np.int64)
    ranges = np.array([span for each in ways for span in each.spans], dtype=np.int64)
    own, new = np.flatnonzero(listing.units == 1), told.more_rows
    prices = np.zeros(len(pool.capacity), dtype=np.int64)
    prices[rows[own]] = told.prices[own]
    known = len(pool.capacity)
    wider = pool.with_room(listing.capacity[new].tolist())
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
        way_takes=np.column_stack([pool.way_takes[way_of], parts.new.T[column]]),
        tight=np.append(pool.tight, listing.tight[new]),
    )
    return Split(
        Restricted(made, False, item_of, way_of), np.append(prices, told.prices[new]), told.scale
    )
