"""The only filled sheet of an .xlsx workbook as rows of text."""

from __future__ import annotations

import io
import warnings
import zipfile
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from openpyxl import load_workbook

from fitsolver.errors import InputError
from fitsolver.reading.files import read_bytes
from fitsolver.reading.hints import shown

#: A workbook is a zip file: what it may unpack to (bytes), and how many cells it may have.
_LARGEST_UNPACKED: Final = 200_000_000
_MOST_CELLS: Final = 2_000_000


def read_sheet(path: Path) -> Iterator[tuple[int, list[str]]]:
    """Return the rows (number, cells as text) that are not blank.

    Raises InputError when the file is no workbook or too large, when more than one sheet is
    filled, and at formulas, merged cells and error values.
    """
    file = str(path)
    sheets = [sheet for sheet in _open(path).worksheets if _filled(file, sheet)]
    if len(sheets) != 1:
        raise InputError(
            "a workbook has one filled sheet here",
            file=file,
            found=shown(", ".join(sheet.title for sheet in sheets) or "none"),
            allowed="one sheet",
        )
    sheet = sheets[0]
    if sheet.merged_cells.ranges:
        merged = min(sheet.merged_cells.ranges, key=lambda area: (area.min_row, area.min_col))
        raise InputError(
            "merged cells",
            file=file,
            row=merged.min_row,
            field=merged.coord,
            found="one value over several cells",
            allowed="a value in every cell",
        )
    return _rows(file, sheet)


def _open(path: Path) -> Any:
    content = read_bytes(path)
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            unpacked = sum(entry.file_size for entry in archive.infolist())
        if unpacked <= _LARGEST_UNPACKED:
            with warnings.catch_warnings():  # about styles and extensions, which are not read
                warnings.simplefilter("ignore")
                return load_workbook(io.BytesIO(content))
    except Exception as error:  # a broken workbook fails in the unpacker, the parser, anywhere
        raise InputError(
            "this is not a workbook that can be read",
            file=str(path),
            allowed=".xlsx, not protected by a password",
        ) from error
    raise InputError(
        "the workbook is too large",
        file=str(path),
        found=f"{unpacked / 1e6:.0f} MB unpacked",
        allowed=f"at most {_LARGEST_UNPACKED // 10**6} MB",
    )


def _filled(file: str, sheet: Any) -> bool:
    if sheet.max_row * sheet.max_column > _MOST_CELLS:  # before anything walks through them
        raise InputError(
            "the sheet is too large",
            file=file,
            found=f"{sheet.max_row} rows, {sheet.max_column} columns",
            allowed=f"at most {_MOST_CELLS} cells",
        )
    return any(cell is not None for row in sheet.iter_rows(values_only=True) for cell in row)


def _rows(file: str, sheet: Any) -> Iterator[tuple[int, list[str]]]:
    for row in sheet.iter_rows():
        cells = [_text(file, cell) for cell in row]
        while cells and not cells[-1]:
            cells.pop()
        if cells:
            yield row[0].row, cells


def _text(file: str, cell: Any) -> str:
    value = cell.value
    if value is None:
        return ""
    if cell.data_type in ("f", "e") or isinstance(value, bool):
        what = {"f": "a formula", "e": "an error value"}.get(cell.data_type, "true or false")
        raise InputError(
            f"{what} in a cell",
            file=file,
            row=cell.row,
            field=cell.coordinate,
            found=shown(getattr(value, "text", value)),
            allowed="texts and numbers",
        )
    if isinstance(value, float):
        if value.is_integer():
            return str(int(value))
        # A workbook stores binary fractions. The shortest text that gives the same fraction
        # is what was typed, so it is taken as the exact decimal.
        return f"{Decimal(repr(value)):f}"
    return str(value).strip()
