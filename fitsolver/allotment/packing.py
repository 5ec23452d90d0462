"""What choices take of rows as one number each, and what an earlier list has left of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from typing import NamedTuple

import numpy as np

from fitsolver.allotment.pool import Pool

#: What a choice takes: (row, how much), sorted.
Demand = tuple[tuple[int, int], ...]


class Packing:
    """Demands as one number each, so that they are added and told apart at once.

    Every row told has bits of its own, enough for the most that a choice may take.
    """

    def __init__(self, pool: Pool, told: Collection[int]) -> None:
        places = int(np.diff(pool.way_places).max(initial=1))
        most = np.zeros(len(pool.capacity) + 1, dtype=np.int64)
        np.maximum.at(most, pool.rows, places * pool.takes.astype(np.int64))
        np.maximum.at(most, pool.way_rows, pool.way_takes.max(axis=0, initial=0) + 1)
        self.at: dict[int, tuple[int, int]] = {}
        # Of each row the highest bit is free: it stays where the capacity less what is taken is
        # not below 0.
        self.free = self.room = 0
        begin = 0
        for row in sorted(told):
            bits = int(most[row]).bit_length() + 1
            self.at[row] = begin, (1 << bits) - 1
            highest = 1 << (bits - 1)
            self.free |= highest << begin
            self.room |= (highest | min(int(pool.capacity[row]), highest - 1)) << begin
            begin += bits

    def packed(self, pairs: Iterable[tuple[int, int]]) -> int:
        """Return what is taken of the rows told."""
        return sum(much << self.at[row][0] for row, much in pairs if much and row in self.at)

    def fits(self, packed: int) -> bool:
        """Tell whether there is so much of each row."""
        return (self.room - packed) & self.free == self.free

    def demand(self, packed: int) -> Demand:
        """Return what is taken, row by row."""
        pairs = ((row, packed >> begin & mask) for row, (begin, mask) in self.at.items())
        return tuple(pair for pair in pairs if pair[1])

    def mask(self, rows: Iterable[int]) -> int:
        """Return the bits of some rows."""
        return sum(mask << begin for begin, mask in (self.at[row] for row in rows))


class Kept(NamedTuple):
    """What is left of an earlier list: the rows that it told, and (taker, demand) pairs."""

    rows: Collection[int]
    demands: Collection[tuple[int, Demand]]


class Left:
    """What an earlier list has left, packed as the list in the making packs demands."""

    def __init__(self, kept: Kept, packing: Packing) -> None:
        self.packing, self.mask = packing, packing.mask(kept.rows)
        self.demands: dict[int, list[dict[int, int]]] = defaultdict(list)
        for taker, demand in kept.demands:
            self.demands[taker].append(dict(demand))
        self.whole = {(taker, packing.packed(demand)) for taker, demand in kept.demands}
        self.known: dict[tuple[int, int], bool] = {}

    def within(self, taker: int, packed: int) -> bool:
        """Tell whether a demand is part of one that is left."""
        key = taker, packed & self.mask
        found = self.known.get(key)
        if found is None:
            own = self.packing.demand(key[1])
            found = self.known[key] = any(
                all(much <= some.get(row, 0) for row, much in own) for some in self.demands[taker]
            )
        return found

    def has(self, taker: int, packed: int) -> bool:
        """Tell whether a demand is one that is left."""
        return (taker, packed & self.mask) in self.whole
