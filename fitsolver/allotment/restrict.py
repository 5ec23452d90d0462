"""Leave out of a pool what cannot be in any solution that is as good as the one held."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitsolver.allotment.pool import NEVER, Choice, Few, Flags, Ints, Pool, Priced, blocks_of

#: So many items of places are looked at in one piece.
_PIECE: Final = 1 << 20


class Restricted(NamedTuple):
    """`exact`: every solution left in the smaller pool is as good; else some may not be.

    `item_of`, `way_of` say which of the larger pool's items and ways those of the smaller are.
    """

    pool: Pool
    exact: bool
    item_of: Ints
    way_of: Ints

    @property
    def places(self) -> int:
        """How many places there are to look at."""
        return len(self.pool.first)


def restrict(whole: Priced, prices: Ints, gap: int, step: int) -> Restricted:
    """Return the pool without what comes to more than `gap` above the bound (both scaled).

    All that any solution comes to is a multiple of `step`.

    A choice is dearer than the taker's cheapest by so much; where the bound of all and a known
    solution lie `gap` apart, no better solution holds a choice that is dearer by more. Each piece
    left of a row with a price adds that price, so where it is above the gap the row is tight.
    """
    pool = whole.pool
    spare = gap + whole.taker[pool.way_taker] - whole.way
    alive = spare >= 0
    place_way = pool.place_way
    most = whole.place + spare[place_way]  # what an item of that place may come to
    places = np.flatnonzero(alive[place_way])
    item_of, first, last = _shared(whole, places, most[places])
    way_of = np.flatnonzero(alive)
    tight = pool.tight | (np.abs(prices) > gap)
    loose = int(np.abs(prices[~tight]) @ pool.capacity[~tight])
    exact = gap == 0 or _all_below(whole, alive, places, most[places], gap + step - loose)
    if exact:
        own = sum(int(kept.sum()) for _, kept, _ in _pairs(whole, places, most[places]))
        if int((last - first).sum()) > own:
            item_of, first, last = _own(whole, places, most[places])
    smaller = replace(
        pool,
        way_taker=pool.way_taker[way_of],
        way_places=np.append(0, np.cumsum(np.diff(pool.way_places)[way_of])),
        first=first,
        last=last,
        costs=_of(pool.costs, item_of),
        rows=_of(pool.rows, item_of),
        takes=_of(pool.takes, item_of),
        way_takes=pool.way_takes[way_of],
        tight=tight,
    )
    return Restricted(smaller, exact, item_of, way_of)


def _all_below(
    whole: Priced,
    alive: Flags,
    places: Ints,
    most: NDArray[np.float64] | Ints,
    room: int,
) -> bool:
    """Tell whether all are less than `room` dearer than the cheapest, whatever places keep."""
    pool = whole.pool
    way = np.asarray(whole.way - whole.taker[pool.way_taker], dtype=np.int64)
    if _most_of_all(pool, way, alive) >= room:
        return False
    place_way, at = pool.place_way[places], 0
    for items, kept, starts in _pairs(whole, places, most):
        some = places[at : at + len(starts)]
        dearest = np.maximum.reduceat(np.where(kept, whole.item[items], -NEVER), starts)
        np.add.at(way, place_way[at : at + len(starts)], dearest - whole.place[some])
        at += len(starts)
    return _most_of_all(pool, way, alive) < room


def _most_of_all(pool: Pool, way: Ints, alive: Flags) -> int:
    """Return what the dearest ways of all takers come to, of those alive."""
    taker = np.zeros(pool.takers, dtype=np.int64)
    np.maximum.at(taker, pool.way_taker[alive], way[alive])
    return int(taker.sum())


def _of(figures: Few, item_of: Ints) -> Few:
    """Return what is left of figures of items: they themselves where it is all."""
    every = len(item_of) == len(figures) and bool((item_of == np.arange(len(figures))).all())
    return figures if every else figures[item_of]


def _pairs(
    whole: Priced, places: Ints, most: NDArray[np.float64] | Ints
) -> Iterator[tuple[Ints, Flags, Ints]]:
    """Yield the items of places, which of them are kept, and where each place begins.

    A piece at a time: all places together may have tens of millions.
    """
    pool = whole.pool
    first, lengths = pool.first[places], pool.last[places] - pool.first[places]
    cuts = np.searchsorted(np.cumsum(lengths), np.arange(_PIECE, int(lengths.sum()), _PIECE))
    for part in np.split(np.arange(len(places)), np.unique(cuts)):
        if not len(part):
            continue
        starts = np.cumsum(lengths[part]) - lengths[part]
        items = np.arange(int(lengths[part].sum()))
        items += np.repeat(first[part] - starts, lengths[part])
        yield items, whole.item[items] <= np.repeat(most[part], lengths[part]), starts


def _own(whole: Priced, places: Ints, most: NDArray[np.float64] | Ints) -> tuple[Ints, Ints, Ints]:
    """Return items and ranges where every place keeps its own."""
    told = [
        (items[kept], np.add.reduceat(kept.astype(np.int64), starts))
        for items, kept, starts in _pairs(whole, places, most)
    ]
    counts = np.concatenate([count for _, count in told])
    last = np.cumsum(counts)
    return np.concatenate([items for items, _ in told]), last - counts, last


def _shared(
    whole: Priced, places: Ints, most: NDArray[np.float64] | Ints
) -> tuple[Ints, Ints, Ints]:
    """Return items and ranges where places that begin alike go on sharing what any of them keeps.

    More is left than need be; but what is shared stays shared, and the pool small.
    """
    pool = whole.pool
    first, last = pool.first[places], pool.last[places]
    ranks, rank = np.unique(most, return_inverse=True)
    # Each item may come to the most of all places that reach as far: from the last item down.
    begins, ends, block = blocks_of(first, last)
    reach = np.full(len(pool.costs), -1, dtype=np.int64)
    np.maximum.at(reach, last - 1, rank)
    lengths = ends - begins
    starts = np.cumsum(lengths) - lengths
    at = np.arange(int(lengths.sum())) - np.repeat(starts - begins, lengths)
    step = np.repeat(np.arange(len(begins))[::-1], lengths)  # no block reaches into the one before
    high = np.maximum.accumulate((reach[at] + step * (len(ranks) + 1))[::-1])[::-1]
    high = high - step * (len(ranks) + 1)
    kept = whole.item[at] <= ranks[high]
    before = np.append(0, np.cumsum(kept))
    position = starts[block]
    return at[kept], before[position], before[position + last - first]


def carried(choices: Iterable[Choice], left: Restricted) -> list[Choice]:
    """Return choices of the larger pool as those of the smaller, without those it leaves out."""
    parts: dict[int, list[int]] = defaultdict(list)
    for index, way in enumerate(left.way_of.tolist()):
        parts[way].append(index)
    found = []
    for choice in choices:
        moved = (_moved(choice, left, way) for way in parts.get(choice.way, ()))
        found += [each for each in moved if each is not None][:1]
    return found


def composed(outer: Restricted, inner: Restricted) -> Restricted:
    """Return what is left of what was left."""
    return inner._replace(item_of=outer.item_of[inner.item_of], way_of=outer.way_of[inner.way_of])


def _moved(choice: Choice, left: Restricted, way: int) -> Choice | None:
    pool, items = left.pool, []
    begin = int(pool.way_places[way])
    for place, item in enumerate(choice.items, start=begin):
        first, last = int(pool.first[place]), int(pool.last[place])
        at = int(np.searchsorted(left.item_of[first:last], item)) + first
        if at >= last or left.item_of[at] != item:
            return None
        items.append(at)
    return Choice(choice.taker, way, tuple(items))


def back(choices: dict[int, Choice], left: Restricted) -> dict[int, Choice]:
    """Return choices of the smaller pool as those of the larger."""
    return {
        taker: Choice(taker, int(left.way_of[c.way]), tuple(int(left.item_of[i]) for i in c.items))
        for taker, c in choices.items()
    }
