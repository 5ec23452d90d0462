"""The items of places that are cheap enough, with what they take of the rows told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np

from fitsolver.allotment.packing import Packing
from fitsolver.allotment.pool import NEVER, Ints, Priced, blocks_of


class Offer(NamedTuple):
    """An item of a place: its price and cost, and what it takes of the rows told (packed)."""

    item: int
    price: int
    cost: int
    takes: int


class Offers:
    """Worked out once for all places that begin alike: ways share them."""

    def __init__(self, whole: Priced, level: int, near: Ints, gap: int, packing: Packing) -> None:
        pool = whole.pool
        self.packing, self.item, self.costs = packing, whole.item, pool.costs[:, level]
        self.rows, self.takes = pool.rows, pool.takes
        self.reach = _reach(whole, near, gap)
        self.known: dict[int, list[Offer]] = {}

    def of(self, first: int) -> list[Offer]:
        """Return the items that any near way can take from there on."""
        if first not in self.known:
            last, dearest = self.reach[first]
            near = first + np.flatnonzero(self.item[first:last] <= dearest)
            figures = (near, self.item[near], self.costs[near], self.rows[near], self.takes[near])
            self.known[first] = [
                Offer(item, dear, cost, self.packing.packed(zip(rows, much, strict=True)))
                for item, dear, cost, rows, much in zip(*(f.tolist() for f in figures), strict=True)
            ]
        return self.known[first]

    def as_cheap(self, one: int, other: int) -> bool:
        """Tell whether an item takes the same as another and costs no more."""
        return bool(self.costs[one] <= self.costs[other]) and self._takes(one) == self._takes(other)

    def _takes(self, item: int) -> int:
        told = zip(self.rows[item].tolist(), self.takes[item].tolist(), strict=True)
        return self.packing.packed(told)


def _reach(whole: Priced, near: Ints, gap: int) -> dict[int, tuple[int, int]]:
    """Return where the places of near ways end that begin alike, and what may be paid there."""
    pool = whole.pool
    is_near = np.zeros(len(pool.way_taker), dtype=np.bool_)
    is_near[near] = True
    place_way = pool.place_way
    places = np.flatnonzero(is_near[place_way])
    way = place_way[places]
    spare = gap + whole.taker[pool.way_taker[way]] - whole.way[way] + whole.place[places]
    begins, last, block = blocks_of(pool.first[places], pool.last[places])
    most = np.full(len(begins), -NEVER)
    np.maximum.at(most, block, spare)
    return dict(zip(begins.tolist(), zip(last.tolist(), most.tolist(), strict=True), strict=True))


def cheapest_of(offers: Iterable[Offer]) -> list[Offer]:
    """Return the cheapest of offers that take the same."""
    best: dict[int, Offer] = {}
    for offer in offers:
        held = best.get(offer.takes)
        if held is None or offer.cost < held.cost:
            best[offer.takes] = offer
    return list(best.values())
