"""A pool as one sparse model: a 0/1 variable a way and an item, for solvers of whole programmes.

Ways of a taker whose places begin alike share the items there, each way up to its own last one.
What is chosen flows from ways to items: from the widest way down, a share not yet spent on items
is carried on to narrower ones. So without the rows the model has whole corners only, and its
relaxation is as tight as the bound by prices.
"""

from __future__ import annotations

from collections import defaultdict
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitsolver.allotment.highs import Sparse
from fitsolver.allotment.pool import Choice, Ints, Pool


class Compact(NamedTuple):
    """Columns are ways, then items (`item` -1: carried on)."""

    pool: Pool
    item: Ints
    model: Sparse

    def choices(self, taken: NDArray[np.bool_]) -> dict[int, Choice]:
        """Return what the columns taken stand for."""
        pool, ways = self.pool, len(self.pool.way_taker)
        chosen = np.sort(self.item[ways:][taken[ways:]])
        chosen = chosen[chosen >= 0]
        found = {}
        for way in np.flatnonzero(taken[:ways]).tolist():
            items = []
            for place in range(int(pool.way_places[way]), int(pool.way_places[way + 1])):
                first, last = int(pool.first[place]), int(pool.last[place])
                at = int(np.searchsorted(chosen, first))
                known = at < len(chosen) and chosen[at] < last
                items.append(int(chosen[at]) if known else first)
            found[int(pool.way_taker[way])] = Choice(int(pool.way_taker[way]), way, tuple(items))
        return found


class _Maker:
    def __init__(self, pool: Pool, level: int) -> None:
        self.pool, self.level = pool, level
        self.cost = [0] * len(pool.way_taker)
        self.item = [-1] * len(pool.way_taker)
        self.entries: list[tuple[int, int, int]] = []
        self.low: list[float] = []
        self.high: list[float] = []
        self.costs = pool.costs[:, level].tolist()
        self.takes = [
            tuple((r, m) for r, m in zip(rows, much, strict=True) if m)
            for rows, much in zip(pool.rows.tolist(), pool.takes.tolist(), strict=True)
        ]
        self.within: dict[int, list[tuple[int, int]]] = defaultdict(list)

    def row(self, low: float, high: float) -> int:
        self.low.append(low)
        self.high.append(high)
        return len(self.low) - 1

    def column(self, cost: int, item: int) -> int:
        self.cost.append(cost)
        self.item.append(item)
        return len(self.cost) - 1

    def take(self, column: int, item: int) -> None:
        for row, much in self.takes[item]:
            self.within[row].append((column, much))

    def block(self, first: int, ends: dict[int, list[int]]) -> None:
        """Add the items that ways share; `ends` has the ways by the last item of theirs."""
        best: dict[tuple[tuple[int, int], ...], int] = {}
        carried = None
        begin = first
        for last in sorted(ends):
            # What flows in from ways that end here and from wider ones goes to these items, or on.
            row = self.row(0.0, 0.0)
            self.entries += [(row, way, 1) for way in ends[last]]
            if carried is not None:
                self.entries.append((row, carried, -1))
            for item in range(begin, last):
                held = best.get(self.takes[item])
                if held is not None and held <= self.costs[item]:
                    continue
                best[self.takes[item]] = self.costs[item]
                column = self.column(self.costs[item], item)
                self.entries.append((row, column, -1))
                self.take(column, item)
            begin = last
            carried = self.column(0, -1)
            self.entries.append((row, carried, 1))
        assert carried is not None
        self.entries.append((self.row(0.0, 0.0), carried, 1))


def compact(pool: Pool, level: int) -> Compact:
    """Return the model of a pool on one level."""
    made = _Maker(pool, level)
    blocks: dict[int, dict[int, list[int]]] = defaultdict(lambda: defaultdict(list))
    bounds, first, last = pool.way_places.tolist(), pool.first.tolist(), pool.last.tolist()
    rows = [made.row(1.0, 1.0) for _ in range(pool.takers)]
    for at, row in enumerate(pool.way_rows.tolist()):
        for way in np.flatnonzero(pool.way_takes[:, at]).tolist():
            made.within[row].append((way, int(pool.way_takes[way, at])))
    for way, taker in enumerate(pool.way_taker.tolist()):
        made.entries.append((rows[taker], way, 1))
        for place in range(bounds[way], bounds[way + 1]):
            blocks[first[place]][last[place]].append(way)
    for begin, ends in blocks.items():
        if len(ends) == 1 and next(iter(ends)) == begin + 1 and len(ends[begin + 1]) == 1:
            way = ends[begin + 1][0]
            made.cost[way] += made.costs[begin]
            made.take(way, begin)
        else:
            made.block(begin, ends)
    for number, (most, tight) in enumerate(
        zip(pool.capacity.tolist(), pool.tight.tolist(), strict=True)
    ):
        row = made.row(float(most) if tight else -np.inf, float(most))
        made.entries += [(row, column, much) for column, much in made.within.get(number, ())]
    entries = np.array(made.entries, dtype=np.int64).reshape(-1, 3)
    item = np.array(made.item, dtype=np.int64)
    whole = (item >= 0) | (np.arange(len(item)) < len(pool.way_taker))  # what is carried on is so
    model = Sparse(
        np.array(made.cost, dtype=np.int64),
        whole.astype(np.int64),
        entries[:, 0],
        entries[:, 1],
        entries[:, 2],
        np.array(made.low),
        np.array(made.high),
    )
    return Compact(pool, item, model)
