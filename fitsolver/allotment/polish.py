"""A solution made better on one level, item by item, as far as what is left of the rows allows."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import numpy as np

from fitsolver.allotment.pool import Choice, Ints, Pool, usage

#: So often all places are looked at.
_PASSES: Final = 3
#: So many of the cheapest items are tried at a place.
_TRIED: Final = 8


def polished(pool: Pool, known: Mapping[int, Choice], level: int) -> dict[int, Choice]:
    """Return a solution in the same ways that costs no more on the level."""
    work = _Polish(pool, known, level)
    for _ in range(_PASSES):
        if not work.run():
            break
    return {t: Choice(t, c.way, tuple(work.items[t])) for t, c in known.items()}


class _Polish:
    def __init__(self, pool: Pool, known: Mapping[int, Choice], level: int) -> None:
        self.pool, self.known, self.costs = pool, known, pool.costs[:, level]
        left = pool.capacity - usage(pool, known.values())
        self.left: Ints = np.append(left, 0)
        self.tight = np.append(pool.tight, np.zeros(1, dtype=np.bool_))
        self.items = {taker: list(choice.items) for taker, choice in known.items()}

    def run(self) -> bool:
        """Look at all places once; tells whether any has another item now."""
        better = False
        for taker, choice in self.known.items():
            begin = int(self.pool.way_places[choice.way])
            for at, held in enumerate(self.items[taker]):
                item = self._cheaper(begin + at, held)
                better |= item != held
                self.items[taker][at] = item
        return better

    def _cheaper(self, place: int, held: int) -> int:
        """Return the cheapest item of those tried that can be had instead; else the one held."""
        first, last = int(self.pool.first[place]), int(self.pool.last[place])
        dearer = self.costs[held] - self.costs[first:last]
        at = np.flatnonzero(dearer > 0)
        for item in (first + at[np.argsort(-dearer[at], kind="stable")[:_TRIED]]).tolist():
            self._take(held, -1)
            self._take(item, 1)
            if self._held(held) and self._held(item):
                return int(item)
            self._take(item, -1)
            self._take(held, 1)
        return held

    def _held(self, item: int) -> bool:
        """Tell whether no more is taken than there is of the rows of an item."""
        rows = self.pool.rows[item]
        left = self.left[rows]
        return bool((left >= 0).all()) and not left[self.tight[rows]].any()

    def _take(self, item: int, times: int) -> None:
        rows, takes = self.pool.rows[item], self.pool.takes[item]
        np.subtract.at(self.left, rows, takes.astype(np.int64) * times)
