"""Segments of the line of bores with the same best combinations.

A segment has one set of combinations with the least removal and the least filing. So price, days
and numbers are decided once for all its bores.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from fitsolver.choices.types import NO_BOUND
from fitsolver.reading.columns import Ints
from fitsolver.screening.combinations import Combinations

#: Combinations times sizes compared for filing in one batch.
_AT_ONCE: Final = 1 << 20

Piece = tuple[int, Ints]


@dataclass(frozen=True)
class Segments:
    """Segments of a machined route by C, in order.

    `starts` holds the first C of each; `chosen` its best combinations, empty where nothing fits;
    `first` one of them (0 if none).
    """

    starts: Ints
    chosen: list[Ints]
    first: Ints
    fits: np.ndarray[tuple[int], np.dtype[np.bool_]]


def segments(table: Combinations) -> Segments:
    """Return the segments of a machined route's combinations."""
    ends = np.unique(np.concatenate([[0], table.high, table.top + 1, [NO_BOUND + 1]]))
    pieces: list[Piece] = []
    for start, end in zip(ends[:-1].tolist(), ends[1:].tolist(), strict=True):
        rows = np.flatnonzero(table.top >= start)  # so to the end of this piece
        if not len(rows):
            pieces.append((start, rows))
            continue
        finish = np.maximum(table.high[rows], start)
        tied = rows[finish == finish.min()]
        pieces += least_filed(table, tied, start, end, table.low[tied])
    return _joined(pieces)


def _joined(pieces: list[Piece]) -> Segments:
    kept: list[Piece] = []
    for start, rows in pieces:
        if not kept or not np.array_equal(kept[-1][1], rows):
            kept.append((start, rows))
    return Segments(
        starts=np.array([start for start, _ in kept], np.int64),
        chosen=[rows for _, rows in kept],
        first=np.array([rows[0] if len(rows) else 0 for _, rows in kept], np.int64),
        fits=np.array([len(rows) > 0 for _, rows in kept], bool),
    )


def least_filed(table: Combinations, rows: Ints, start: int, end: int, low: Ints) -> list[Piece]:
    """Return sizes `start` to below `end` in pieces, each with the `rows` of least filing.

    At size C a combination is filed for a bore of `max(C, low)`.
    """
    least = np.maximum(low, start)
    kinds = np.column_stack([least, table.short[rows], table.gauge[rows]])
    if (kinds == kinds[0]).all() and (least[0] == start or (low == low[0]).all()):
        return [(start, rows)]
    # Below the least `low` nothing changes, and above the last filed size nothing is filed.
    first = max(start, min(int(low.min()), end - 1))
    last = min(end - 1, max(first, int(low.max()), int(table.unfiled[rows].max())))
    pieces: list[Piece] = []
    step = max(1, _AT_ONCE // len(rows))
    for begin in range(first, last + 1, step):
        sizes = np.arange(begin, min(begin + step, last + 1), dtype=np.int64)
        filed = table.filing(rows[:, None], np.maximum(sizes, low[:, None]))
        best = filed == filed.min(axis=0)
        changes = np.flatnonzero((best[:, 1:] != best[:, :-1]).any(axis=0)) + 1
        for at in (0, *changes.tolist()):
            pieces.append((int(sizes[at]), rows[best[:, at]]))
    return [(start, pieces[0][1]), *pieces[1:]]
