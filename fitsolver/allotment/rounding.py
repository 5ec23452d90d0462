"""Rows that no whole solution breaks, though shares of choices may.

A taker takes several pieces of one group of rows together (a job the pistons of one size). So what
is over when all are divided by such a number can be rounded: mixed-integer rounding, after
H. Marchand and L. A. Wolsey, "Aggregation and mixed integer rounding to solve MIPs", Operations
Research 49 (2001). All in whole numbers.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitsolver.allotment.pool import Choice, Ints, Pool, least_of_ranges

#: So many rows are added at a time, those that are broken most.
_AT_ONCE: Final = 30
#: What is divided by: 2 up to twice the most that a taker takes, and no more than this.
_DIVISORS: Final = 12
#: How much of a unit must be broken.
_BROKEN: Final = 1e-4


class Row(NamedTuple):
    """What each way takes as a whole (of a group of rows: the least of all together), and how
    much there is.
    """

    takes: Ints
    capacity: int


def groups_of(pool: Pool, groups: Sequence[Sequence[int]]) -> list[Row]:
    """Return groups of rows of a pool as its ways take of them; those that none takes are left."""
    found = []
    for rows in groups:
        member = np.zeros(len(pool.capacity) + 1, dtype=np.bool_)
        member[list(rows)] = True
        item = (pool.takes * member[pool.rows]).sum(axis=1)
        place = least_of_ranges(item, pool.first, pool.last)
        takes = np.add.reduceat(place, pool.way_places[:-1])
        if takes.any():
            found.append(Row(takes, int(pool.capacity[list(rows)].sum())))
    return found


def broken_rows(pool: Pool, groups: Sequence[Row], shares: Mapping[Choice, float]) -> list[Row]:
    """Return the rows that shares of choices break most, of all that come from the groups."""
    ways = np.array([choice.way for choice in shares], dtype=np.int64)
    share = np.array(list(shares.values()))
    found: dict[bytes, tuple[float, Row]] = {}
    for group in groups:
        for row in _rows(pool, group, ways, share):
            much = float(row.takes[ways] @ share) - row.capacity
            scale = float(row.takes.max())
            if much > _BROKEN * scale:
                found.setdefault(row.takes.tobytes(), (much / scale, row))
    best = sorted(found.values(), key=lambda told: -told[0])
    return [row for _, row in best[:_AT_ONCE]]


def _rows(pool: Pool, group: Row, ways: Ints, share: NDArray[np.float64]) -> Iterator[Row]:
    """Yield rows that are rounded about what takers take in the solution."""
    taken = group.takes[ways]
    if float(taken @ share) < group.capacity - int(taken.max(initial=0)):
        return
    taker = pool.way_taker[ways]
    least = np.full(pool.takers, np.iinfo(np.int64).max)
    np.minimum.at(least, taker, taken)
    most = np.zeros(pool.takers, dtype=np.int64)
    np.maximum.at(most, taker, taken)
    mean = np.bincount(taker, weights=taken * share, minlength=pool.takers)
    near = np.where(mean - least < most - mean, least, most)
    for about in {base.tobytes(): base for base in (least, most, near)}.values():
        for divisor in range(2, min(_DIVISORS, 2 * int(taken.max(initial=0))) + 1):
            row = rounded(pool, group, about, divisor)
            if row is not None:
                yield row


def rounded(pool: Pool, group: Row, about: Ints, divisor: int) -> Row | None:
    """Return the row that comes of dividing a group's by a number; None where nothing is over.

    `about` (takers): what each taker takes is counted from there. With g what a way takes beyond
    it, C what is then left, r = C mod d and F as `rounded_off` gives it, every whole solution x has
    sum(F(g) x) <= F(C).
    """
    beyond = group.takes - about[pool.way_taker]
    left = group.capacity - int(about.sum())
    over = left % divisor
    if over == 0:
        return None
    takes = rounded_off(beyond, divisor, over)
    # Counted from the least nothing takes less than 0.
    least: Ints = np.asarray(pool.least_of_ways(takes), dtype=np.int64)
    capacity = (divisor - over) * (left // divisor) - int(least.sum())
    return Row(takes - least[pool.way_taker], capacity)


def rounded_off(figures: Ints, divisor: int, over: int) -> Ints:
    """Return F(v) = (d - r) floor(v / d) + max(0, v mod d - r) of figures; r is what is over."""
    whole: Ints = (divisor - over) * (figures // divisor)
    return whole + np.maximum(0, figures % divisor - over)


def with_rows(pool: Pool, rows: Sequence[Row]) -> Pool:
    """Return the pool with these rows more."""
    if not rows:
        return pool
    known = len(pool.capacity)
    return replace(
        pool.with_room([row.capacity for row in rows]),
        way_rows=np.append(pool.way_rows, np.arange(known, known + len(rows))),
        way_takes=np.column_stack([pool.way_takes, *(row.takes for row in rows)]),
    )
