"""A block of a spreadsheet put into the sheet of readings."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.page.content import MOST_ROWS, Sheet

_COLUMNS: Final = {"cylinder", "depth", "axis", "diameter", "dial"}
_LARGEST: Final = 100_000
_CELL: Final = re.compile(r"read\.(\d{1,3})\.(\d{1,3})\.(\d{1,3})|depth\.(\d{1,3})")


def pasted(text: str, sheet: Sheet, cylinders: Sequence[str], at: str = "") -> dict[str, str]:
    """Return the fields that a pasted block fills in.

    With a row of column names (cylinder, depth, axis, and diameter or dial) a line is one reading.
    Else a line is a depth and then the readings of the sheet's columns, from the cell `at` on
    where one is given. Raises InputError for a block that is neither.
    """
    if len(text) > _LARGEST:
        raise InputError("this block is too large", allowed=f"{_LARGEST} characters")
    rows = [row for row in _rows(text) if any(row)]
    if not rows:
        raise InputError("there is nothing to paste")
    heads = [_head(cell) for cell in rows[0]]
    if {"depth", "axis"} <= {*heads}:
        return dict(_long(rows[1:], heads, sheet, cylinders))
    if rows[0][0] and not _is_figure(rows[0][0]) and len(rows) > 1:
        rows = rows[1:]  # a line of headings
    return dict(_block(rows, sheet, len(cylinders), at))


def _rows(text: str) -> list[list[str]]:
    mark = next((sign for sign in "\t;" if sign in text), ",")
    if mark == "," and not re.search(r",.*,|,\s", text):
        mark = "\t"  # decimal commas in one column
    return [[cell.strip() for cell in row] for row in csv.reader(text.splitlines(), delimiter=mark)]


def _head(cell: str) -> str:
    name = cell.partition("[")[0].strip().lower()
    return name if name in _COLUMNS else ""


def _is_figure(cell: str) -> bool:
    return bool(re.match(r"[+\-\u2212]?[.,]?\d", cell))


def _long(
    rows: Sequence[Sequence[str]], heads: Sequence[str], sheet: Sheet, cylinders: Sequence[str]
) -> Iterator[tuple[str, str]]:
    depths = {depth: row for row, depth in enumerate(sheet.depths) if depth}
    for cells in rows:
        line = dict(zip(heads, cells, strict=False))
        name = line.get("cylinder", cylinders[0])
        axis = line.get("axis", "").lower()
        if name not in cylinders or axis not in sheet.axes:
            raise InputError(
                "this line is of no column here",
                found=" ".join(cells)[:80],
                allowed=f"cylinder {', '.join(cylinders)}; axis {', '.join(sheet.axes)}",
            )
        row = depths.setdefault(line.get("depth", ""), len(depths))
        if row >= MOST_ROWS:
            raise InputError("too many depths", allowed=str(MOST_ROWS))
        place = f"read.{cylinders.index(name)}.{row}.{sheet.axes.index(axis)}"
        yield f"depth.{row}", line.get("depth", "")
        yield place, line.get("dial") or line.get("diameter") or ""


def _block(
    rows: Sequence[Sequence[str]], sheet: Sheet, cylinders: int, at: str
) -> Iterator[tuple[str, str]]:
    columns = len(sheet.axes)
    start = _CELL.fullmatch(at)
    first, column = 0, -1
    if start is not None and start[4] is None:
        first, column = int(start[2]), int(start[1]) * columns + int(start[3])
    elif start is not None:
        first = int(start[4])
    for place, cells in enumerate(rows):
        row = first + place
        for offset, cell in enumerate(cells):
            to = column + offset
            if row >= MOST_ROWS or to >= cylinders * columns:
                raise InputError(
                    "this block is larger than the sheet",
                    found=f"{len(rows)} lines of {len(cells)}",
                    allowed=f"a depth and {cylinders * columns} readings a line",
                )
            yield (f"depth.{row}" if to < 0 else f"read.{to // columns}.{row}.{to % columns}"), cell
