"""The only filled sheet of an .xlsx workbook as rows of text."""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import partial
from typing import Any, Final

from openpyxl import load_workbook

from fitsolver.base.errors import InputError
from fitsolver.reading.files import File, SheetFile, read_bytes
from fitsolver.reading.hints import shown
from fitsolver.reading.workbook_scan import MOST_PARTS, Sheet, check_size, scan

_DIRECTORY_ENTRY: Final = b"PK\x01\x02"
_FIRST_ROW: Final = re.compile(r"[A-Z]+([0-9]+)")


def read_sheet(path: File) -> Iterator[tuple[int, list[str]]]:
    """Return the rows (number, cells as text) that are not blank.

    Raises InputError when the file is no workbook or too large, when more than one sheet is
    filled, and at formulas, merged cells and error values.
    """
    if isinstance(path, SheetFile):
        return iter((number, list(cells)) for number, cells in path.rows)
    file, sheets = str(path), filled_sheets(path)
    if len(sheets) != 1:
        raise one_sheet(file, [title for title, _ in sheets])
    ((_, rows),) = sheets
    return rows()


def one_sheet(file: str, titles: list[str]) -> InputError:
    """Return the refusal of a workbook in which not one sheet alone can be meant."""
    return InputError(
        "a workbook has one filled sheet here",
        file=file,
        found=shown(", ".join(titles) or "none"),
        allowed="one sheet",
    )


class SheetRows(list[tuple[int, list[str]]]):
    """The rows of a sheet that people laid out; `merged` are the rows of cells merged across."""

    merged: tuple[tuple[int, str], ...] = ()


def laid_sheets(path: File) -> dict[str, SheetRows]:
    """Return the filled sheets of a workbook that people laid out, by their titles.

    A cell that is merged down the first column says the same in each of its rows; what is merged
    across one row is left to the layout. Raises InputError for other merged cells, and for a hidden
    row: what is read can be seen.
    """
    from fitsolver.reading.workbook_scan import area

    found: dict[str, SheetRows] = {}
    for sheet, seen in _open(path):
        if not seen.filled:
            continue
        areas = [(reference, area(reference)) for reference in seen.merges]
        across = [(one, at) for one, at in areas if at is not None and at[0] == at[2]]
        down = [at for _, at in areas if at is not None and at[1] == at[3] == 1 and at[0] < at[2]]
        others = [one for one, at in areas if at is None or not (at[0] == at[2] or at in down)]
        _check(str(path), replace(seen, merged=next(iter(others), "")))
        rows = SheetRows(_as_wide(list(_spread_down(list(_rows(str(path), sheet)), down))))
        rows.merged = tuple((at[0], one) for one, at in across)
        _check_seen(str(path), rows, seen)
        found[str(sheet.title)] = rows
    return found


def _as_wide(rows: Sequence[tuple[int, list[str]]]) -> Iterator[tuple[int, list[str]]]:
    """Yield the rows as wide as the widest: cells at the end of a row may be empty."""
    widest = max((len(cells) for _, cells in rows), default=0)
    yield from ((number, cells + [""] * (widest - len(cells))) for number, cells in rows)


def _check_seen(file: str, rows: Sequence[tuple[int, list[str]]], seen: Sheet) -> None:
    """Refuse a filled row or column that is hidden."""
    hidden = {*seen.hidden_rows} & {number for number, _ in rows}
    if hidden:
        raise InputError("a hidden row", file=file, row=min(hidden), allowed="rows to be seen")
    for first, last in seen.hidden_columns:
        row = next((number for number, cells in rows if any(cells[first - 1 : last])), None)
        if row is not None:
            raise InputError(
                "a hidden column", file=file, row=row, field=f"column {first}",
                allowed="columns to be seen",
            )  # fmt: skip


def _spread_down(
    rows: list[tuple[int, list[str]]], areas: Sequence[tuple[int, int, int, int]]
) -> Iterator[tuple[int, list[str]]]:
    """Yield the rows with what is merged down the first column in each of its rows."""
    firsts = {number: cells[0] for number, cells in rows}
    for number, cells in rows:
        top = next((top for top, _, bottom, _ in areas if top < number <= bottom), None)
        yield number, [firsts.get(top, ""), *cells[1:]] if top is not None else cells


def check_across(file: str, rows: object, first: int, last: int) -> None:
    """Refuse cells merged across a row of readings, from the first row of them to the last."""
    for row, reference in rows.merged if isinstance(rows, SheetRows) else ():
        if first <= row <= last:
            raise _merged(file, reference)


def filled_sheets(path: File) -> list[tuple[str, Callable[[], Iterator[tuple[int, list[str]]]]]]:
    """Return the filled sheets: the title, and the source of their rows (`read_sheet`)."""
    file = str(path)

    def rows(sheet: Any, seen: Sheet) -> Iterator[tuple[int, list[str]]]:
        _check(file, seen)
        return _rows(file, sheet)

    return [
        (str(sheet.title), partial(rows, sheet, seen)) for sheet, seen in _open(path) if seen.filled
    ]


def read_workbook(path: File) -> dict[str, tuple[tuple[int, tuple[str, ...]], ...]]:
    """Return the filled sheets of a workbook by their names, each as `read_sheet` reads one.

    Raises InputError for a sheet or row that is hidden too: what is read can be seen.
    """
    found = {}
    for sheet, seen in _open(path):
        if not seen.filled:
            continue
        file = f"{path}, sheet '{shown(sheet.title)}'"
        if sheet.sheet_state != "visible":
            raise InputError("a hidden sheet", file=file, allowed="sheets that can be seen")
        if seen.hidden:
            raise InputError(
                "a hidden row", file=file, row=seen.hidden, allowed="rows that can be seen"
            )
        _check(file, seen)
        rows = tuple((number, tuple(cells)) for number, cells in _rows(file, sheet))
        found[str(sheet.title)] = rows
    return found


def _check(file: str, seen: Sheet) -> None:
    if seen.merged:
        raise _merged(file, seen.merged)
    if seen.formula is not None:
        row_number, coordinate, text = seen.formula
        raise _no_value(file, row_number, coordinate, "a formula", text)


def _merged(file: str, reference: str) -> InputError:
    row = _FIRST_ROW.match(reference)
    return InputError(
        "merged cells",
        file=file,
        row=int(row[1]) if row else None,
        field=shown(reference),
        found="one value over several cells",
        allowed="a value in every cell",
    )


def _open(path: File) -> list[tuple[Any, Sheet]]:
    """Return the sheets, each with its scan; a sheet that is too large is not read."""
    content, file = read_bytes(path), str(path)
    try:
        if content.count(_DIRECTORY_ENTRY) > MOST_PARTS:
            raise InputError("the workbook has too many parts", file=file, allowed=str(MOST_PARTS))
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            seen = scan(file, archive)
        with warnings.catch_warnings():  # about styles and extensions, which are not read
            warnings.simplefilter("ignore")
            book: Any = load_workbook(io.BytesIO(content), read_only=True, keep_links=False)
        found = [(sheet, seen.sheets[sheet._worksheet_path]) for sheet in book.worksheets]
    except InputError:
        raise
    except Exception as error:  # a broken workbook fails in the unpacker, the parser, anywhere
        raise _unreadable(file) from error
    for _, sheet in found:
        check_size(file, sheet)
    return found


def _unreadable(file: str) -> InputError:
    return InputError(
        "this is not a workbook that can be read",
        file=file,
        allowed=".xlsx, not protected by a password",
    )


def _rows(file: str, sheet: Any) -> Iterator[tuple[int, list[str]]]:
    sheet.reset_dimensions()  # what the file says of its size counts for nothing
    for number, row in enumerate(_read(file, sheet), start=1):
        cells = [_text(file, cell) for cell in row]
        while cells and not cells[-1]:
            cells.pop()
        if cells:
            yield number, cells


def _read(file: str, sheet: Any) -> Iterator[Any]:
    rows = sheet.iter_rows()
    while True:
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                row = next(rows, None)
        except Exception as error:  # a broken sheet fails in the unpacker, the parser, anywhere
            raise _unreadable(file) from error
        if row is None:
            return
        yield row


def _text(file: str, cell: Any) -> str:
    value = cell.value
    if value is None:
        return ""
    if cell.data_type == "e" or isinstance(value, bool):
        what = "an error value" if cell.data_type == "e" else "true or false"
        raise _no_value(file, cell.row, cell.coordinate, what, value)
    if isinstance(value, float):
        return typed_number(value)
    return str(value).strip()


def typed_number(value: float) -> str:
    """Return the text that was typed into a cell with a number.

    A workbook stores binary fractions. The shortest text that gives the same fraction is taken
    as the exact decimal.
    """
    return str(int(value)) if value.is_integer() else f"{Decimal(repr(value)):f}"


def _no_value(file: str, row: int, coordinate: str, what: str, value: object) -> InputError:
    return InputError(
        f"{what} in a cell",
        file=file,
        row=row,
        field=coordinate,
        found=shown(value),
        allowed="texts and numbers",
    )
