"""Whole solutions near the shares: most takers keep what they have, the others choose anew.

Few takers share between choices. All others stay, and those few, with more and more of their
neighbours, are solved together on what is left.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import inf
from random import Random
from typing import Final

import numpy as np

from fitsolver.allotment.compact import compact
from fitsolver.allotment.highs import search
from fitsolver.allotment.pool import Choice, Ints, Pool, fits, usage, value_of
from fitsolver.allotment.restrict import Restricted, back
from fitsolver.base.deadline import Clock

#: How many takers more are freed from one try to the next.
_MORE: Final = (0, 8, 16, 32, 64, 128, 256, 512)
#: Seconds for one try.
_LOOK: Final = 4.0


def around(
    pool: Pool,
    level: int,
    near: Mapping[int, Choice],
    wanted: int,
    clock: Clock,
    seconds: float = inf,
) -> dict[int, Choice] | None:
    """Return the best solution found near choices of some takers; None where there is none.

    Ends at one that comes to `wanted` or less on the level; after `seconds` no try is begun.
    """
    best: dict[int, Choice] | None = None
    until = clock.gone + seconds
    for free in _freed(pool, near):
        if clock.left == 0 or clock.gone > until:
            break
        base = near if best is None else best
        stay = [choice for taker, choice in base.items() if taker not in free]
        found = _solved(pool, level, stay, clock)
        if found is None:
            continue
        if best is None or value_of(pool, found, level) < value_of(pool, best, level):
            best = found
        if value_of(pool, best, level) <= wanted:
            break
    return best


def _freed(pool: Pool, near: Mapping[int, Choice]) -> Iterator[set[int]]:
    dice = Random(0)
    shared = set(range(pool.takers)) - set(near)
    rest = sorted(near)
    for more in _MORE:
        yield shared | set(dice.sample(rest, min(more, len(rest))))
        if more >= len(rest):
            return


def _solved(pool: Pool, level: int, stay: list[Choice], clock: Clock) -> dict[int, Choice] | None:
    """Return the best solution in which some choices stay as they are."""
    held = {choice.taker: choice for choice in stay}
    part = _without(pool, held)
    if (part.pool.capacity < 0).any():
        return None
    takers = sorted(set(range(pool.takers)) - set(held))
    if not takers:
        return held if fits(pool, held) else None
    small = compact(part.pool, level)
    taken = search(small.model, _LOOK, clock)
    found = None if taken is None else small.choices(taken)
    if found is None or not fits(part.pool, found):
        return None
    chosen = {takers[at]: c._replace(taker=takers[at]) for at, c in back(found, part).items()}
    return dict(sorted({**held, **chosen}.items()))


def _without(pool: Pool, held: Mapping[int, Choice]) -> Restricted:
    """Return the pool of the takers that hold nothing, with what the others leave."""
    free = np.ones(pool.takers, dtype=np.bool_)
    free[list(held)] = False
    way_of = np.flatnonzero(free[pool.way_taker])
    lengths = np.diff(pool.way_places)
    places = np.flatnonzero(free[pool.way_taker[pool.place_way]])
    first, last = pool.first[places], pool.last[places]
    item_of, before = _members(first, last, len(pool.costs))
    number = np.cumsum(free) - 1
    smaller = replace(
        pool,
        takers=int(free.sum()),
        way_taker=number[pool.way_taker[way_of]],
        way_places=np.append(0, np.cumsum(lengths[way_of])),
        first=before[first],
        last=before[last],
        costs=pool.costs[item_of],
        rows=pool.rows[item_of],
        takes=pool.takes[item_of],
        way_takes=pool.way_takes[way_of],
        capacity=pool.capacity - usage(pool, held.values()),
    )
    return Restricted(smaller, False, item_of, way_of)


def _members(first: Ints, last: Ints, items: int) -> tuple[Ints, Ints]:
    """Return the items of any range, and how many of them come before each item."""
    change = np.zeros(items + 1, dtype=np.int64)
    np.add.at(change, first, 1)
    np.add.at(change, last, -1)
    inside = np.cumsum(change)[:-1] > 0
    return np.flatnonzero(inside), np.append(0, np.cumsum(inside))
