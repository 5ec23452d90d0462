"""An instance: jobs that each take one column, over rows of limited capacity, in whole numbers.

Every job runs in exactly one of its *modes*. A mode has *slots*, and each slot is filled with one
*item* out of a range of items. A mode with an item in each of its slots is a *column*. An item has
a cost on every level and coefficients in a few rows; the columns of all jobs together stay within
the capacity of each row (an `equality` row: meet it exactly).
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
#: Integers in the narrowest type that holds them: there may be a million items.
SmallInts = NDArray[np.int32] | NDArray[np.int64]
Flags = NDArray[np.bool_]
#: Above every cost; a few of it still add up within 64 bits.
NEVER: Final = 10**16


@dataclass(frozen=True, slots=True)
class Instance:
    """Modes sorted by job, slots by mode; slot s takes an item of `first[s]` to `last[s]` - 1.

    `mode_job` (modes); `mode_slots` (modes + 1): where the slots of each mode begin; `costs`
    (items, levels); `rows`, `coefs` (items, most rows of an item): row and coefficient, padded with
    the row one past the last. `mode_rows` (n) are rows in which a mode as a whole has the
    coefficients `mode_coefs` (modes, n). `capacity`, `equality` (rows).
    """

    jobs: int
    mode_job: Ints
    mode_slots: Ints
    first: Ints
    last: Ints
    costs: SmallInts
    rows: SmallInts
    coefs: SmallInts
    mode_rows: Ints
    mode_coefs: Ints
    capacity: Ints
    equality: Flags

    @property
    def slot_mode(self) -> Ints:
        """Return (slots) the mode of each slot."""
        return np.repeat(np.arange(len(self.mode_job)), np.diff(self.mode_slots))

    def least_of_modes(self, figures: NDArray[np.float64] | Ints) -> NDArray[np.float64] | Ints:
        """Return (jobs) the least of a figure (modes) over the modes of each job."""
        starts = np.flatnonzero(np.diff(self.mode_job, prepend=-1))
        return np.minimum.reduceat(figures, starts)

    def with_rows(self, capacity: Sequence[int]) -> Instance:
        """Return the instance with more rows, in which every coefficient is 0 so far."""
        known, more = len(self.capacity), len(capacity)
        return replace(
            self,
            rows=np.where(self.rows == known, known + more, self.rows),  # the padding moves on
            capacity=np.append(self.capacity, np.array(capacity, dtype=np.int64)),
            equality=np.append(self.equality, np.zeros(more, dtype=np.bool_)),
        )


class Column(NamedTuple):
    """One job's mode, and an item for each of its slots."""

    job: int
    mode: int
    items: tuple[int, ...]


#: A column for every job (a partial solution: for some jobs).
Solution = dict[int, Column]


class Items:
    """Items in the making, kept as plain numbers: there may be a million."""

    def __init__(self) -> None:
        self.costs, self.coefs, self.ends = array("q"), array("q"), array("q")

    def __len__(self) -> int:
        return len(self.ends)

    def add(self, costs: Iterable[int], coefs: Iterable[tuple[int, int]] = ()) -> int:
        """Add an item with its cost by level and (row, coefficient) pairs; returns its number."""
        self.costs.extend(costs)
        for pair in coefs:
            self.coefs.extend(pair)
        self.ends.append(len(self.coefs) // 2)
        return len(self.ends) - 1

    def padded(self, rows: int) -> tuple[Ints, Ints]:
        """Return rows and coefficients of all items, padded with the row one past the last."""
        ends = np.array(self.ends, dtype=np.int64)
        lengths = np.diff(ends, prepend=0)
        shape = len(ends), int(lengths.max(initial=0))
        found = np.full(shape, rows, dtype=np.int64), np.zeros(shape, dtype=np.int64)
        pairs = np.array(self.coefs, dtype=np.int64).reshape(-1, 2)
        item = np.repeat(np.arange(len(ends)), lengths)
        at = np.arange(len(pairs)) - np.repeat(ends - lengths, lengths)
        found[0][item, at], found[1][item, at] = pairs[:, 0], pairs[:, 1]
        return found


def instance_of(
    jobs: Sequence[Sequence[Sequence[tuple[int, int]]]],
    items: Items,
    capacity: Sequence[int],
    levels: int,
) -> Instance:
    """Return the instance of jobs, each a list of modes, each a list of item ranges (slots)."""
    mode_job = [job for job, modes in enumerate(jobs) for _ in modes]
    slots = [mode for modes in jobs for mode in modes]
    ranges = [span for mode in slots for span in mode]
    rows, coefs = items.padded(len(capacity))
    return Instance(
        jobs=len(jobs),
        mode_job=np.array(mode_job, dtype=np.int64),
        mode_slots=np.cumsum([0, *(len(mode) for mode in slots)], dtype=np.int64),
        first=np.array([low for low, _ in ranges], dtype=np.int64),
        last=np.array([high for _, high in ranges], dtype=np.int64),
        costs=small_ints(np.frombuffer(items.costs, dtype=np.int64).reshape(-1, levels)),
        rows=small_ints(rows),
        coefs=small_ints(coefs),
        mode_rows=np.zeros(0, dtype=np.int64),
        mode_coefs=np.zeros((len(slots), 0), dtype=np.int64),
        capacity=np.array(capacity, dtype=np.int64),
        equality=np.zeros(len(capacity), dtype=np.bool_),
    )


def slot_blocks(first: Ints, last: Ints) -> tuple[Ints, Ints, Ints]:
    """Return the blocks of ranges that begin alike: begin, end; and (ranges) the block of each."""
    begins, block = np.unique(first, return_inverse=True)
    ends = np.zeros(len(begins), dtype=np.int64)
    np.maximum.at(ends, block, last)
    return begins, ends, block


def activity(instance: Instance, columns: Iterable[Column]) -> Ints:
    """Return (rows) the activity of each row under some columns."""
    sums = np.zeros(len(instance.capacity) + 1, dtype=np.int64)
    chosen = list(columns)
    items = [item for column in chosen for item in column.items]
    np.add.at(sums, instance.rows[items], instance.coefs[items])
    modes = [column.mode for column in chosen]
    np.add.at(sums, instance.mode_rows, instance.mode_coefs[modes].sum(axis=0))
    return sums[:-1]


def coefficients(instance: Instance, column: Column) -> dict[int, int]:
    """Return the coefficients of a column that are not 0, by row."""
    found: dict[int, int] = {}
    for item in column.items:
        pairs = zip(instance.rows[item].tolist(), instance.coefs[item].tolist(), strict=True)
        for row, coef in pairs:
            if coef:
                found[row] = found.get(row, 0) + coef
    own = instance.mode_coefs[column.mode].tolist()
    found.update((r, c) for r, c in zip(instance.mode_rows.tolist(), own, strict=True) if c)
    return found


def feasible(instance: Instance, solution: Mapping[int, Column]) -> bool:
    """Tell whether a solution satisfies every row."""
    return bool(satisfied(instance, solution).all())


def satisfied(instance: Instance, solution: Mapping[int, Column]) -> Flags:
    """Tell (rows) which rows a solution satisfies."""
    sums = activity(instance, solution.values())
    return np.where(instance.equality, sums == instance.capacity, sums <= instance.capacity)


def column_cost(instance: Instance, column: Column, level: int) -> int:
    """Return the cost of a column on a level."""
    return int(instance.costs[list(column.items), level].sum())


def objective(instance: Instance, solution: Mapping[int, Column], level: int) -> int:
    """Return the objective value of a solution on a level."""
    return sum(column_cost(instance, column, level) for column in solution.values())


def small_ints(figures: NDArray[np.integer[Any]]) -> SmallInts:
    """Return figures in 32 bits where they have room in them."""
    most = max(int(figures.max(initial=0)), -int(figures.min(initial=0)))
    if most <= np.iinfo(np.int32).max:
        return figures.astype(np.int32)
    return figures.astype(np.int64)


def step_of(costs: SmallInts) -> int:
    """Return the greatest common divisor of all costs: every objective value is a multiple."""
    return int(np.gcd.reduce(costs)) or 1
