"""The sheets of a price or stock list as rows of text, whatever stands in them.

CSV in any of the usual encodings and separators, .xlsx with several sheets, Parquet. A cell merged
over several rows counts in each of them, a formula as the figure last worked out. Hidden rows and
columns are read: that is told.
"""

from __future__ import annotations

import csv
import warnings
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from fitsolver.base.errors import InputError
from fitsolver.reading.excel import typed_number
from fitsolver.reading.files import read_bytes
from fitsolver.reading.limits import MOST_LIST_CELLS, MOST_ROWS, check_cells, too_many
from fitsolver.reading.list_code_pages import decoded
from fitsolver.reading.list_figures import Figure

if TYPE_CHECKING:
    import zipfile

    from fitsolver.reading.workbook_scan import Sheet

_SUFFIXES: Final = (".csv", ".txt", ".tsv", ".xlsx", ".parquet")
_SEPARATORS: Final = ";\t,|"
#: Marks of hidden columns that are looked at.
_HIDDEN: Final = 200
#: Rows that show how a text table is separated.
_LOOKED_AT: Final = 200


@dataclass(frozen=True)
class ListSheet:
    """A sheet: its name ('' of a file with one table) and its filled rows with their numbers.

    `hidden_rows` and `hidden_columns` count from 1. `merged` are cells (row, place in it from 0)
    that stand for several rows, `unworked` those with a formula of which no result is stored,
    `struck` those whose text is struck out. `legend`: sizes that notes of the list give for
    words.
    """

    name: str
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    hidden: bool = False
    hidden_rows: tuple[int, ...] = ()
    hidden_columns: tuple[int, ...] = ()
    merged: frozenset[tuple[int, int]] = frozenset()
    unworked: frozenset[tuple[int, int]] = frozenset()
    struck: frozenset[tuple[int, int]] = frozenset()
    legend: Mapping[str, str] = field(default_factory=dict)


def read_sheets(path: Path) -> tuple[ListSheet, ...]:
    """Return the filled sheets of a list.

    Raises InputError for a file that is none, is too large, or cannot be read.
    """
    kind = path.suffix.lower()
    if kind not in _SUFFIXES:
        raise InputError(
            "no such list",
            file=str(path),
            found=kind or "no ending",
            allowed=", ".join(_SUFFIXES),
        )
    if kind == ".xlsx":
        sheets = tuple(_workbook(path))
    elif kind == ".parquet":
        sheets = (_parquet(path),)
    else:
        sheets = (_text(path),)
    filled = tuple(sheet for sheet in sheets if sheet.rows)
    if not filled:
        raise InputError("the list is empty", file=str(path), allowed="rows of articles")
    return filled


def _text(path: Path) -> ListSheet:
    file, content = str(path), read_bytes(path)
    text = decoded(file, content).replace("\r\n", "\n").replace("\r", "\n")
    if text.count("\n") > MOST_ROWS:
        raise too_many(file, "rows", f"over {MOST_ROWS}", MOST_ROWS)
    lines = text.split("\n")
    if lines[0].lower().startswith("sep=") and len(lines[0]) == len("sep=") + 1:
        separator, lines[0] = lines[0][-1], ""
    else:
        separator = _separator(lines[:_LOOKED_AT])
    rows: list[tuple[int, tuple[str, ...]]] = []
    reader = csv.reader((f"{line}\n" for line in lines), delimiter=separator)
    cells_read, number = 0, 1
    try:
        for cells in reader:
            stripped = [" ".join(cell.split()) for cell in cells]
            check_cells(file, number, stripped)
            cells_read += len(cells)
            if cells_read > MOST_LIST_CELLS:
                raise too_many(file, "cells", f"over {MOST_LIST_CELLS}", MOST_LIST_CELLS)
            if any(stripped):
                rows.append((number, tuple(stripped)))
            number += 1
    except csv.Error as error:
        raise InputError(
            f"this row cannot be read ({error})", file=file, row=number, allowed="quotes in pairs"
        ) from error
    return ListSheet("", tuple(rows))


def _separator(lines: list[str]) -> str:
    """Return the mark that cuts most lines into one same number of cells, two or more."""
    best, found = 0.0, ","
    for mark in _SEPARATORS:
        widths = [line.count(mark) for line in lines if line.strip()]
        if not widths or not max(widths):
            continue
        usual = max(set(filter(None, widths)), key=widths.count)
        score = widths.count(usual) * min(usual, 3)
        if score > best:
            best, found = score, mark
    return found


def _workbook(path: Path) -> Iterator[ListSheet]:
    import zipfile

    from openpyxl import load_workbook

    from fitsolver.reading.workbook_scan import check_size, scan

    file, content = str(path), read_bytes(path)
    try:
        with zipfile.ZipFile(BytesIO(content)) as archive:
            seen = scan(file, archive)
            strikes = _may_strike(archive)
        for sheet in seen.sheets.values():
            check_size(file, sheet)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            book: Any = load_workbook(BytesIO(content), read_only=True, data_only=True)
            for sheet in book.worksheets:
                sheet.reset_dimensions()
                struck = _struck(sheet) if strikes else frozenset()
                yield _sheet(file, sheet, seen.sheets[sheet._worksheet_path], struck)
    except InputError:
        raise
    except Exception as error:  # a broken workbook fails in the unpacker, the parser, anywhere
        raise InputError(
            "this is not a workbook that can be read",
            file=file,
            allowed=".xlsx, not protected by a password",
        ) from error


def _may_strike(archive: zipfile.ZipFile) -> bool:
    """Tell whether a style of a workbook strikes texts out."""
    styles = [name for name in archive.namelist() if name.endswith("styles.xml")]
    return any(b"<strike" in archive.read(name) for name in styles)


def _struck(sheet: Any) -> frozenset[tuple[int, int]]:
    """Return the cells of a sheet whose text is struck out."""
    return frozenset(
        (cell.row, cell.column - 1)
        for row in sheet.iter_rows()
        for cell in row
        if cell.value is not None and cell.font.strike
    )


def _sheet(file: str, sheet: Any, seen: Sheet, struck: frozenset[tuple[int, int]]) -> ListSheet:
    rows = dict(_rows(file, sheet))
    merged = _spread_out(rows, seen.merges)
    last = seen.columns
    return ListSheet(
        str(sheet.title),
        tuple((number, cells) for number, cells in rows.items() if any(cells)),
        sheet.sheet_state != "visible",
        tuple(number for number in seen.hidden_rows if number in rows),
        tuple(at for a, b in seen.hidden_columns[:_HIDDEN] for at in range(a, min(b, last) + 1)),
        merged,
        frozenset((row, column - 1) for row, column in seen.unworked),
        struck,
    )


def _spread_out(
    rows: dict[int, tuple[str, ...]], merges: Sequence[str]
) -> frozenset[tuple[int, int]]:
    """Write what a merged cell of one column says into each of its rows; returns their places."""
    from fitsolver.reading.workbook_scan import area

    merged: set[tuple[int, int]] = set()
    last, walked = max(rows, default=0), 0
    for reference in merges:
        found = area(reference)
        if found is None or found[1] != found[3] or found[0] >= found[2]:
            continue
        top, at, bottom = found[0], found[1] - 1, min(found[2], last)
        walked += bottom - top
        if walked > MOST_ROWS:  # areas that lie over each other
            break
        value = rows[top][at] if top in rows and at < len(rows[top]) else ""
        if value:
            for row in range(top, bottom + 1):
                cells = rows.get(row, ())
                if row != top and any(cells):
                    wide = [*cells, *[""] * (at + 1 - len(cells))]
                    rows[row] = (*wide[:at], value, *wide[at + 1 :])
                merged.add((row, at))
    return frozenset(merged)


def _rows(file: str, sheet: Any) -> Iterator[tuple[int, tuple[str, ...]]]:
    for number, row in enumerate(sheet.iter_rows(values_only=True), start=1):
        cells = [_cell(value) for value in row]
        check_cells(file, number, cells)
        if any(cells):
            yield number, tuple(cells)


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return Figure(typed_number(value))
    if isinstance(value, (date, datetime)):
        return f"{value:%Y-%m-%d}"
    return " ".join(str(value).split())


def _parquet(path: Path) -> ListSheet:
    try:
        import pyarrow.parquet as pq
    except ImportError as error:
        raise InputError(
            "pyarrow is not installed; `pip install fitsolver[parquet]` brings it", file=str(path)
        ) from error
    from fitsolver.reading.parquet_limits import check_directory

    check_directory(path)
    try:
        table = pq.read_table(path)
        titles = tuple(str(name) for name in table.column_names)
        if table.num_rows > MOST_ROWS:
            raise too_many(str(path), "rows", table.num_rows, MOST_ROWS)
        columns = [column.to_pylist() for column in table.columns]
    except InputError:
        raise
    except Exception as error:
        raise InputError(f"this table cannot be read ({error})", file=str(path)) from error
    rows = [(1, titles)]
    for number, values in enumerate(zip(*columns, strict=True), start=2):
        cells = tuple(_cell(value) for value in values)
        if any(cells):
            rows.append((number, cells))
    return ListSheet("", tuple(rows))
