"""All whole choices of a pool that cost little enough, one for each kind of demand.

Within a gap there are few: of choices that take the same of every row only the cheapest counts.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

import numpy as np

from fitsolver.allotment.pool import Choice, Priced
from fitsolver.solving.search import Clock

#: With more choices than this the pool is solved by its items instead.
_MOST: Final = 100_000

#: What a choice takes: (row, how much), sorted.
Demand = tuple[tuple[int, int], ...]
#: A choice, its cost on the level, and what it takes of the rows told.
Column = tuple[Choice, int, Demand]


def columns(
    whole: Priced, level: int, gap: int, rows: Collection[int], clock: Clock
) -> list[Column] | None:
    """Return choices, costs on a level and demands, of all that lie within the gap.

    Only what is taken of `rows` is told apart. `gap` is how much dearer than the taker's cheapest
    a choice may be (scaled as the prices).
    None: there are too many, or the clock ended.
    """
    pool = whole.pool
    lists = _Lists(whole, level, frozenset(rows))
    best: dict[tuple[int, Demand], tuple[int, Choice]] = {}
    near = np.flatnonzero(whole.way <= whole.taker[pool.way_taker] + gap)
    for way, taker in zip(near.tolist(), pool.way_taker[near].tolist(), strict=True):
        for items, cost, demand in lists.of_way(way, gap + int(whole.taker[taker])):
            held = best.get((taker, demand))
            if held is None or cost < held[0]:
                best[taker, demand] = cost, Choice(taker, way, items)
        if len(best) > _MOST or clock.left == 0:
            return None
    return [(choice, cost, demand) for (_, demand), (cost, choice) in best.items()]


class _Lists:
    """A priced pool as plain lists, which are quicker to walk through one by one."""

    def __init__(self, whole: Priced, level: int, told: frozenset[int]) -> None:
        pool = whole.pool
        self.told = told
        self.bounds = pool.way_places.tolist()
        self.first, self.last = pool.first.tolist(), pool.last.tolist()
        self.item, self.costs = whole.item, pool.costs[:, level]
        self.place, self.way = whole.place.tolist(), whole.way.tolist()
        self.way_price = whole.way - np.add.reduceat(whole.place, pool.way_places[:-1])
        self.rows, self.takes = pool.rows, pool.takes
        self.way_rows, self.way_takes = pool.way_rows.tolist(), pool.way_takes

    def of_way(self, way: int, room: int) -> list[tuple[tuple[int, ...], int, Demand]]:
        """Return the choices of one way, place by place, the cheapest of equal demand."""
        rest = self.way[way]
        spent = int(self.way_price[way])
        found: dict[Demand, tuple[int, int, tuple[int, ...]]] = {
            self._as_whole(way): (spent, 0, ())
        }
        rest -= spent
        for place in range(self.bounds[way], self.bounds[way + 1]):
            rest -= self.place[place]
            dearest = room - self.way[way] + self.place[place]
            offered = self._offered(place, dearest)
            longer: dict[Demand, tuple[int, int, tuple[int, ...]]] = {}
            for demand, (spent, cost, items) in found.items():
                for item, dear, more, takes in offered:
                    if spent + dear + rest > room:
                        continue
                    key = _joined(demand, takes)
                    held = longer.get(key)
                    if held is None or cost + more < held[1]:
                        longer[key] = spent + dear, cost + more, (*items, item)
            found = longer
            if len(found) > _MOST:
                break
        return [(items, cost, demand) for demand, (_, cost, items) in found.items()]

    def _as_whole(self, way: int) -> Demand:
        pairs = zip(self.way_rows, self.way_takes[way].tolist(), strict=True)
        return tuple(sorted((row, much) for row, much in pairs if much and row in self.told))

    def _offered(self, place: int, dearest: int) -> list[tuple[int, int, int, Demand]]:
        """Return item, price, cost and demand of those not too dear, the cheapest of equal ones."""
        first, last = self.first[place], self.last[place]
        near = first + np.flatnonzero(self.item[first:last] <= dearest)
        figures = (near, self.item[near], self.costs[near], self.rows[near], self.takes[near])
        best: dict[Demand, tuple[int, int, int, Demand]] = {}
        for item, dear, cost, rows, much in zip(*(f.tolist() for f in figures), strict=True):
            pairs = zip(rows, much, strict=True)
            takes = tuple((row, some) for row, some in pairs if some and row in self.told)
            held = best.get(takes)
            if held is None or cost < held[2]:
                best[takes] = item, dear, cost, takes
        return list(best.values())


def _joined(one: Demand, other: Demand) -> Demand:
    if not other:
        return one
    both = dict(one)
    for row, much in other:
        both[row] = both.get(row, 0) + much
    return tuple(sorted(both.items()))
