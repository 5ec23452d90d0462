"""Choices that are listed, as arrays, with the rows that they are told apart by."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array, vstack

from fitsolver.allotment.columns import Column
from fitsolver.allotment.pool import Flags, Ints, Pool, step_of


@dataclass(frozen=True, slots=True)
class Listing:
    """`taker`, `cost` (columns); `takes` (rows, columns), `capacity`, `tight` (rows).

    Of a row no more is taken than its capacity, of a tight one just so much. `columns` is what
    was listed; the first rows are those that it tells (as the pool numbers them: `rows`), in their
    lowest terms (`units` of the pool each), any others are broken by no whole solution.
    """

    takers: int
    columns: Sequence[Column]
    rows: Sequence[int]
    units: Ints
    taker: Ints
    cost: Ints
    takes: Any
    capacity: Ints
    tight: Flags

    @property
    def step(self) -> int:
        """What the cost of every whole solution is a multiple of."""
        return step_of(self.cost)

    @property
    def lacking(self) -> bool:
        """Tell whether a taker has no choice at all."""
        return len(np.unique(self.taker)) < self.takers

    @property
    def told(self) -> Listing:
        """The listing with the rows alone that its choices tell."""
        rows = len(self.rows)
        return replace(
            self,
            takes=self.takes[:rows, :],
            capacity=self.capacity[:rows],
            tight=self.tight[:rows],
        )

    def of_takers(self, figures: Ints) -> Ints:
        """Return (takers) the least of a figure (columns) over the columns of each taker."""
        least = np.full(self.takers, np.iinfo(np.int64).max)
        np.minimum.at(least, self.taker, figures)
        return least

    def only(self, kept: Flags) -> Listing:
        """Return the listing with some of its columns."""
        at = np.flatnonzero(kept)
        return replace(
            self,
            columns=[self.columns[index] for index in at.tolist()],
            taker=self.taker[at],
            cost=self.cost[at],
            takes=self.takes[:, at],
        )

    def with_rows(self, takes: NDArray[np.int64], capacity: Ints) -> Listing:
        """Return the listing with rows more."""
        return replace(
            self,
            takes=csr_array(vstack([self.takes, csr_array(takes)])),
            capacity=np.append(self.capacity, capacity),
            tight=np.append(self.tight, np.zeros(len(capacity), dtype=np.bool_)),
        )


def listing_of(pool: Pool, columns: Sequence[Column], rows: Collection[int]) -> Listing:
    """Return listed choices of a pool, told apart by some of its rows."""
    order = sorted(rows)
    row_of = {row: at for at, row in enumerate(order)}
    entries = [
        (row_of[row], at, much) for at, (_, _, demand) in enumerate(columns) for row, much in demand
    ]
    at_row, at_column, value = np.array(entries, dtype=np.int64).reshape(-1, 3).T
    capacity = pool.capacity[order]
    common = _common(at_row, value, len(order))
    # A tight row that cannot come to its capacity is left as it is: there is no solution.
    common = np.where(pool.tight[order] & (capacity % common != 0), 1, common)
    return Listing(
        takers=pool.takers,
        columns=columns,
        rows=order,
        units=common,
        taker=np.array([choice.taker for choice, _, _ in columns], dtype=np.int64),
        cost=np.array([cost for _, cost, _ in columns], dtype=np.int64),
        takes=csr_array(
            (value // common[at_row], (at_row, at_column)), shape=(len(order), len(columns))
        ),
        capacity=capacity // common,
        tight=pool.tight[order],
    )


def _common(at_row: Ints, value: Ints, rows: int) -> Ints:
    """Return (rows) what all takes of a row are multiples of."""
    found = np.zeros(rows, dtype=np.int64)
    np.gcd.at(found, at_row, value)
    return np.maximum(found, 1)
