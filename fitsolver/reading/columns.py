"""Columns of a table as whole ticks, exactly; invalid sizes are named row by row.

Text is parsed by `lengths.parse_length`, once for every different text. Whole and decimal numbers
are exact. A binary fraction that is as near to the grid as its own precision tells is taken as
that tick; one that lies between two is rounded to the safe side: largest size and scratch up,
smallest size down.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal

import numpy as np
import numpy.typing as npt

from fitsolver.base.lengths import LONGEST, TICKS_PER, Unit, parse_length

Ints = npt.NDArray[np.int64]

#: A product of binary fractions is off by far less than this part of a tick.
_NEAR: Final = 1e-3
_EMPTY: Final = "empty"

Way = Literal["up", "down"]


@dataclass(frozen=True)
class Text:
    """A column of text: for every row which of the values, -1 where it is empty."""

    codes: Ints
    values: list[str]

    def at(self, row: int) -> str:
        code = int(self.codes[row])
        return "" if code < 0 else self.values[code]


@dataclass(frozen=True)
class Numbers:
    """A column of numbers, and a mask of the cells without one."""

    values: npt.NDArray[np.generic]
    missing: npt.NDArray[np.bool_]

    def at(self, row: int) -> str:
        return "" if self.missing[row] else str(self.values[row])


Column = Text | Numbers


@dataclass(frozen=True)
class Chunk:
    """Rows from number `start`: columns by name, and the unit of each."""

    start: int
    rows: int
    columns: Mapping[str, Column]
    units: Mapping[str, Unit]


@dataclass(frozen=True)
class BadRow:
    """A row that cannot be screened: its number, the field, the text found, the error."""

    row: int
    field: str
    found: str
    reason: str


@dataclass(frozen=True)
class Sizes:
    """A column in ticks; `wrong` holds 0 where it is good, else the number of a reason."""

    ticks: Ints
    wrong: Ints
    reasons: list[str]


def sizes(column: Column, unit: Unit, way: Way) -> Sizes:
    """Return a column in ticks; `way` is the safe direction for sizes between two ticks."""
    return _of_text(column, unit) if isinstance(column, Text) else _of_numbers(column, unit, way)


def _of_text(column: Text, unit: Unit) -> Sizes:
    reasons = ["", _EMPTY]
    # The last place is for rows that are empty.
    ticks = np.zeros(len(column.values) + 1, np.int64)
    wrong = np.zeros(len(column.values) + 1, np.int64)
    wrong[-1] = 1
    for at, text in enumerate(column.values):
        if not text.strip():
            wrong[at] = 1
            continue
        try:
            ticks[at] = parse_length(text, unit)
        except ValueError as error:
            wrong[at] = len(reasons)
            reasons.append(str(error))
    return Sizes(ticks[column.codes], wrong[column.codes], reasons)


def _of_numbers(column: Numbers, unit: Unit, way: Way) -> Sizes:
    reasons = ["", _EMPTY, "not a finite number", "longer than ten metres"]
    values: Any = column.values
    per = TICKS_PER[unit]
    if np.issubdtype(values.dtype, np.integer):
        too_long = (values > LONGEST // per) | (values < -(LONGEST // per))
        ticks = np.where(too_long, 0, values).astype(np.int64) * per
        infinite = np.zeros(len(values), bool)
    else:
        floats = np.asarray(values)
        infinite = ~np.isfinite(floats)
        known = np.where(infinite, 0, floats)
        own = np.abs(np.spacing(known)).astype(np.float64) * per / 2
        scaled = known.astype(np.float64) * per
        too_long = np.abs(scaled) > LONGEST
        scaled = np.where(too_long, 0, scaled)
        nearest = np.rint(scaled)
        safe = np.ceil(scaled) if way == "up" else np.floor(scaled)
        ticks = np.where(np.abs(scaled - nearest) <= own + _NEAR, nearest, safe).astype(np.int64)
    wrong = np.select([column.missing, infinite, too_long], [1, 2, 3], 0).astype(np.int64)
    return Sizes(ticks, wrong, reasons)
