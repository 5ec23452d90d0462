"""The coefficients of a column as one integer: a bit field for every distinguished row.

One operation then adds two columns, compares them, or checks one against the capacity.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from typing import NamedTuple

import numpy as np

from fitsolver.mip.instance import Instance

#: Coefficients of a column: (row, coefficient) pairs, sorted by row.
Coefs = tuple[tuple[int, int], ...]


class RowCodes:
    """Encodes the coefficients in some rows of an instance as one integer.

    Every row has bits of its own, enough for the largest coefficient that a column may have.
    """

    def __init__(self, instance: Instance, rows: Collection[int]) -> None:
        slots = int(np.diff(instance.mode_slots).max(initial=1))
        most = np.zeros(len(instance.capacity) + 1, dtype=np.int64)
        np.maximum.at(most, instance.rows, slots * instance.coefs.astype(np.int64))
        np.maximum.at(most, instance.mode_rows, instance.mode_coefs.max(axis=0, initial=0) + 1)
        self.at: dict[int, tuple[int, int]] = {}
        # Of each row the highest bit is free: it stays where the capacity less the coefficient is
        # not below 0.
        self.free = self.room = 0
        begin = 0
        for row in sorted(rows):
            bits = int(most[row]).bit_length() + 1
            self.at[row] = begin, (1 << bits) - 1
            highest = 1 << (bits - 1)
            self.free |= highest << begin
            self.room |= (highest | min(int(instance.capacity[row]), highest - 1)) << begin
            begin += bits

    def encoded(self, pairs: Iterable[tuple[int, int]]) -> int:
        """Return (row, coefficient) pairs as one integer; other rows are left out."""
        return sum(coef << self.at[row][0] for row, coef in pairs if coef and row in self.at)

    def fits(self, code: int) -> bool:
        """Tell whether no coefficient is above the capacity of its row."""
        return (self.room - code) & self.free == self.free

    def decoded(self, code: int) -> Coefs:
        """Return the coefficients, row by row."""
        pairs = ((row, code >> begin & mask) for row, (begin, mask) in self.at.items())
        return tuple(pair for pair in pairs if pair[1])

    def mask(self, rows: Iterable[int]) -> int:
        """Return the bits of some rows."""
        return sum(mask << begin for begin, mask in (self.at[row] for row in rows))


class Survivors(NamedTuple):
    """The columns of an earlier enumeration that fixing left: its distinguished rows, and (job,
    coefficients) pairs.
    """

    rows: Collection[int]
    columns: Collection[tuple[int, Coefs]]


class SurvivorFilter:
    """Restricts an enumeration to the survivors of an earlier one with fewer distinguished rows."""

    def __init__(self, survivors: Survivors, codes: RowCodes) -> None:
        self.free, self.mask = codes.free, codes.mask(survivors.rows)
        self.whole = {(job, codes.encoded(coefs)) for job, coefs in survivors.columns}
        # With the highest bit of every row set: it stays where the row has as much as is taken off.
        self.topped: dict[int, list[int]] = defaultdict(list)
        for job, code in sorted(self.whole):
            self.topped[job].append(code | self.free)
        self.known: dict[tuple[int, int], bool] = {}
        self.looked = 0

    def within(self, job: int, code: int) -> bool:
        """Tell whether a partial column can be part of a survivor; `looked` counts comparisons."""
        key = job, code & self.mask
        found = self.known.get(key)
        if found is None:
            own, free, some = key[1], self.free, self.topped.get(job, ())
            self.looked += len(some)
            found = self.known[key] = any((each - own) & free == free for each in some)
        return found

    def has(self, job: int, code: int) -> bool:
        """Tell whether a column is a survivor."""
        return (job, code & self.mask) in self.whole
