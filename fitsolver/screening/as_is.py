"""Bores left as they are: which combinations fit between their smallest and largest local size.

A bore falls into a *cell*: between two lowest sizes, two highest sizes and two spreads that
combinations ask for. The same combinations fit throughout a cell. D_min divides it into segments
with the same least filing. A cell is computed when the first bore falls into it.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from fitsolver.choices.types import NO_BOUND
from fitsolver.reading.columns import Ints
from fitsolver.records.catalogue import Route
from fitsolver.records.windows import Limits
from fitsolver.screening.combinations import Combinations
from fitsolver.screening.segments import least_filed

#: More than any size (ticks): the offset between cells on one line.
_APART = NO_BOUND * 2


class AsIs:
    """The combinations of the route as it is, by cell. Segment numbers follow discovery."""

    def __init__(
        self, route: Route, table: Combinations, out_of_round: Limits, *, round_fits: bool
    ) -> None:
        self.route, self.table = route, table
        self.least = out_of_round.low or 0
        self.most = NO_BOUND if out_of_round.high is None else out_of_round.high
        self.round_fits = round_fits
        self.lows, self.tops = np.unique(table.low), np.unique(table.top)
        self.spreads = np.unique(table.spread)
        self.known: set[int] = set()
        self.starts = np.zeros(0, np.int64)
        self.numbers = np.zeros(0, np.int64)
        self.chosen: list[Ints] = []
        self.first = np.zeros(0, np.int64)
        self.fits = np.zeros(0, bool)

    def segments(self, largest: Ints, smallest: Ints, scratch: Ints) -> tuple[Ints, Ints]:
        """Return rows that fit as they are, and the segment of each (sizes in ticks)."""
        spread = largest - smallest
        clean = (scratch == 0) & (spread >= self.least) & (spread <= self.most)
        rows = np.flatnonzero(clean)
        if not self.round_fits or not len(self.lows):
            return rows[:0], rows[:0]
        rows = rows[(smallest[rows] >= self.lows[0]) & (largest[rows] <= self.tops[-1])]
        rows = rows[spread[rows] <= self.spreads[-1]]
        if not len(rows):
            return rows, rows
        low, cell = smallest[rows], self._cells(largest[rows], smallest[rows])
        for each in pd.unique(cell).tolist():
            if each not in self.known:
                self._look(each)
        at = np.searchsorted(self.starts, cell * _APART + low, "right") - 1
        number = self.numbers[at]
        fitting = self.fits[number]
        return rows[fitting], number[fitting]

    def _cells(self, largest: Ints, smallest: Ints) -> Ints:
        low = np.searchsorted(self.lows, smallest, "right") - 1
        top = np.searchsorted(self.tops, largest, "left")
        spread = np.searchsorted(self.spreads, largest - smallest, "left")
        cells: Ints = (low * len(self.tops) + top) * len(self.spreads) + spread
        return cells

    def _look(self, cell: int) -> None:
        """Add the segments of a cell."""
        self.known.add(cell)
        both, spread = divmod(cell, len(self.spreads))
        low, top = divmod(both, len(self.tops))
        table = self.table
        rows = np.flatnonzero(
            (table.low <= self.lows[low])
            & (table.top >= self.tops[top])
            & (table.spread >= self.spreads[spread])
        )
        start = int(self.lows[low])
        end = int(self.lows[low + 1]) if low + 1 < len(self.lows) else NO_BOUND + 1
        end = min(end, int(self.tops[top]) + 1)
        pieces = [(start, rows)]
        if len(rows) and end > start:
            pieces = least_filed(table, rows, start, end, np.zeros(len(rows), np.int64))
        starts = np.array([cell * _APART + at for at, _ in pieces], np.int64)
        numbers = np.arange(len(self.chosen), len(self.chosen) + len(pieces))
        where = int(np.searchsorted(self.starts, starts[0]))
        self.starts = np.insert(self.starts, where, starts)
        self.numbers = np.insert(self.numbers, where, numbers)
        self.chosen += [chosen for _, chosen in pieces]
        first = [int(chosen[0]) if len(chosen) else 0 for _, chosen in pieces]
        self.first = np.append(self.first, np.array(first, np.int64))
        self.fits = np.append(self.fits, np.array([len(c) > 0 for _, c in pieces], bool))
