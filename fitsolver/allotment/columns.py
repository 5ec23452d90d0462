"""All whole choices of a pool that cost little enough, one for each kind of demand.

Within a gap there are few: of choices that take the same of every row only the cheapest counts.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import Final, NamedTuple

import numpy as np

from fitsolver.allotment.offers import Offer, Offers, cheapest_of
from fitsolver.allotment.packing import Demand, Kept, Left, Packing
from fitsolver.allotment.pool import Choice, Ints, Priced
from fitsolver.base.deadline import Clock

#: With more choices than this the pool is solved by its items instead.
MANY: Final = 100_000
#: After so many states it is looked whether there is still time.
_LOOK_UP: Final = 256

#: A choice, its cost on the level, and what it takes of the rows told.
Column = tuple[Choice, int, Demand]


class _Place(NamedTuple):
    """The items of a place, and how those end that a narrower way has too (None: it has all)."""

    at: int
    near: list[Offer]
    new: list[Offer]
    end: int | None

    @property
    def offered(self) -> list[Offer]:
        return cheapest_of(self.near)

    @property
    def old(self) -> list[Offer]:
        return cheapest_of(offer for offer in self.near if offer.item < (self.end or 0))


#: By demand (packed): price, cost and items of the cheapest so far.
_States = dict[int, tuple[int, int, tuple[int, ...]]]


def columns(
    whole: Priced,
    level: int,
    gap: int,
    rows: Collection[int],
    clock: Clock,
    kept: Kept | None = None,
    most: int = MANY,
) -> list[Column] | None:
    """Return choices, costs on a level and demands, of all that lie within the gap.

    Only what is taken of `rows` is told apart. `gap` is how much dearer than the taker's cheapest
    a choice may be (scaled as the prices); `kept` leaves out what an earlier list did.
    None: there are more than `most`, or the clock ended.
    """
    pool = whole.pool
    best: dict[tuple[int, int], tuple[int, Choice]] = {}
    near = np.flatnonzero(whole.way <= whole.taker[pool.way_taker] + gap)
    packing = Packing(pool, rows)
    left = None if kept is None else Left(kept, packing)
    lists = _Lists(whole, level, near, gap, packing, left, clock, most)
    for way, taker in zip(near.tolist(), pool.way_taker[near].tolist(), strict=True):
        found = lists.of_way(way, gap + int(whole.taker[taker]))
        if found is None:
            return None
        for items, cost, demand in found:
            held = best.get((taker, demand))
            if held is None or cost < held[0]:
                best[taker, demand] = cost, Choice(taker, way, items)
        if len(best) > most or clock.left == 0:
            return None
    return [(choice, cost, packing.demand(told)) for (_, told), (cost, choice) in best.items()]


class _Lists:
    """A priced pool as plain lists, which are quicker to walk through one by one."""

    def __init__(
        self,
        whole: Priced,
        level: int,
        near: Ints,
        gap: int,
        packing: Packing,
        kept: Left | None,
        clock: Clock,
        most: int,
    ) -> None:
        self.clock, self.most = clock, most
        pool = whole.pool
        self.packing, self.kept = packing, kept
        self.taker = pool.way_taker.tolist()
        self.bounds = pool.way_places.tolist()
        self.first, self.last = pool.first.tolist(), pool.last.tolist()
        self.place, self.way = whole.place.tolist(), whole.way.tolist()
        self.way_price = whole.way - np.add.reduceat(whole.place, pool.way_places[:-1])
        self.way_rows, self.way_takes = pool.way_rows.tolist(), pool.way_takes
        self.offers = Offers(whole, level, near, gap, packing)

    def of_way(self, way: int, room: int) -> list[tuple[tuple[int, ...], int, int]] | None:
        """Return the choices of one way, place by place, the cheapest of equal demand (packed).

        Those that a narrower way has as well are left to it. None: there are too many.
        """
        before = self._narrower(way)
        spare = room - self.way[way]
        places = [self._place(place, spare, before.get(place)) for place in self._range(way)]
        if before and not any(place.new for place in places):
            return []
        places.sort(key=lambda place: not place.new)  # what is new first: the rest is all one
        rest, spent = self.way[way], int(self.way_price[way])
        rest -= spent
        start: _States = {self._as_whole(way): (spent, 0, ())}
        old, new = (start, {}) if before else ({}, start)
        for place in places:
            rest -= self.place[place.at]
            found = self._longer(way, new, place.offered, room - rest) if new else {}
            if old and place.new:
                self._longer(way, old, place.new, room - rest, found)
                old = self._longer(way, old, place.old, room - rest)
            new = found
            if len(new) > self.most or self.clock.left == 0:
                return None
        order = sorted(range(len(places)), key=lambda index: places[index].at)
        return [
            (tuple(items[index] for index in order), cost, demand)
            for demand, (_, cost, items) in new.items()
            if self.kept is None or self.kept.has(self.taker[way], demand)
        ]

    def _longer(
        self,
        way: int,
        states: _States,
        offered: list[Offer],
        room: int,
        found: _States | None = None,
    ) -> _States:
        """Return states with one item more; `room` is what they may come to."""
        found = {} if found is None else found
        kept, taker, fits = self.kept, self.taker[way], self.packing.fits
        for at, (demand, (spent, cost, items)) in enumerate(states.items()):
            if len(found) > self.most or (at % _LOOK_UP == 0 and self.clock.left == 0):
                break  # it is given up
            for offer in offered:
                if spent + offer.price > room:
                    continue
                key = demand + offer.takes
                held = found.get(key)
                if held is not None and held[1] <= cost + offer.cost:
                    continue
                if fits(key) and (kept is None or kept.within(taker, key)):
                    found[key] = spent + offer.price, cost + offer.cost, (*items, offer.item)
        return found

    def _range(self, way: int) -> range:
        return range(self.bounds[way], self.bounds[way + 1])

    def _narrower(self, way: int) -> dict[int, int]:
        """Return where the items of a narrower way end, by place; nothing if there is no such way.

        That is the way before, of the same taker, which takes the same as a whole and whose places
        begin alike, but for those of a single item, which takes the same and costs no more there.
        """
        mine, others = self._range(way), self._range(way - 1) if way else range(0)
        if len(mine) != len(others) or self.taker[way] != self.taker[way - 1]:
            return {}
        if self._as_whole(way) != self._as_whole(way - 1):
            return {}
        ends: dict[int, int] = {}
        for place, other in zip(mine, others, strict=True):
            if self.first[place] == self.first[other] and self.last[other] <= self.last[place]:
                ends[place] = self.last[other]
            elif not self._as_cheap(other, place):
                return {}
        return ends

    def _as_cheap(self, one: int, other: int) -> bool:
        """Tell whether both places have a single item that takes the same, the one's no dearer."""
        if any(self.last[place] != self.first[place] + 1 for place in (one, other)):
            return False
        return self.offers.as_cheap(self.first[one], self.first[other])

    def _place(self, place: int, spare: int, end: int | None) -> _Place:
        dearest, last = spare + self.place[place], self.last[place]
        near = [
            offer
            for offer in self.offers.of(self.first[place])
            if offer.item < last and offer.price <= dearest
        ]
        new = [] if end is None or end == last else cheapest_of(o for o in near if o.item >= end)
        return _Place(place, near, new, end)

    def _as_whole(self, way: int) -> int:
        return self.packing.packed(zip(self.way_rows, self.way_takes[way].tolist(), strict=True))
