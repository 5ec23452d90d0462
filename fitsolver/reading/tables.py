"""Tables (CSV or .xlsx) as rows of text with their row numbers.

A CSV file is separated by commas, semicolons or tabs: the header tells. A decimal comma is
read where the file is plainly of that kind (semicolons or tabs, and no number with a point);
anywhere else a comma in a number is ambiguous and refused.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final, Literal

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit, parse_unit
from fitsolver.reading.files import File, read_text
from fitsolver.reading.hints import shown, unknown
from fitsolver.reading.limits import MOST_CELLS, MOST_ROWS, check_cells, too_many
from fitsolver.reading.refusals import Refusals

Kind = Literal["text", "number", "length"]
NumberedRow = tuple[int, list[str]]

_DELIMITERS: Final = ",;\t"
_DELIMITER_NAMES: Final = {",": "comma", ";": "semicolon", "\t": "tab"}
_HEADER: Final = re.compile(r"([^\[\]]*?)\s*(?:\[([^\[\]]*)\])?")
_SPACES: Final = re.compile(r"[\s-]+")
_COMMA_NUMBER: Final = re.compile(r"\s*[+-]?\d*,\d+\s*[^\s\d,.]*\s*")
_POINT_NUMBER: Final = re.compile(r"\s*[+-]?\d*\.\d*\s*[^\s\d,.]*\s*")
#: A comma in a figure of a header: the depths of a grid stand there.
_DECIMAL: Final = re.compile(r"(?<=\d),(?=\d)")
_QUOTED: Final = re.compile(r'"[^"]*"')


@dataclass(frozen=True)
class Table:
    """A table: where each column stands, the unit its header names, and the rows of text."""

    file: str
    columns: Mapping[str, int]
    units: Mapping[str, Unit]
    rows: Sequence[NumberedRow]

    @property
    def content(self) -> list[object]:
        """The content of the table, for a fingerprint."""
        return [dict(self.columns), dict(self.units), [cells for _, cells in self.rows]]

    def error(
        self, row: int, field: str, message: str, *, found: object = None, allowed: str = ""
    ) -> InputError:
        """Return the refusal of one cell."""
        return InputError(
            message, file=self.file, row=row, field=field, found=found, allowed=allowed
        )


def read_table(
    path: File, kind_of: Callable[[str], Kind | None], names: Iterable[str], required: Sequence[str]
) -> Table:
    """Return a table whose columns are all known and none is missing or there twice.

    All its errors are refused together.

    `kind_of` says what a column holds (None = no such column); `names` are the columns to show
    when one is unknown. Raises InputError with file, row and field.
    """
    file = str(path)
    workbook = path.suffix.lower() == ".xlsx"
    if workbook:
        from fitsolver.reading.excel import read_sheet  # openpyxl is slow to import

        numbered, separator = read_sheet(path), ""
    else:
        numbered, separator = _read_csv(path)
    return table_of(file, numbered, separator, kind_of, names, required)


def table_of(
    file: str,
    numbered: Iterable[NumberedRow],
    separator: str,
    kind_of: Callable[[str], Kind | None],
    names: Iterable[str],
    required: Sequence[str],
) -> Table:
    """Return the table of rows of text, the header first; `separator` is "" of a workbook.

    Raises InputError as `read_table` does.
    """
    rows = iter(numbered)
    header_row, header = next(rows, (1, []))
    while header and not header[-1]:  # spreadsheets leave empty columns at the right
        header.pop()
    if not header:
        raise InputError("the table has no header", file=file, row=header_row)
    refused = Refusals(file)
    columns, units = _columns(file, header_row, header, kind_of, names, refused)
    for name in required:
        if name not in columns:
            refused.add(_missing(file, header_row, name, header))
    refused.check()
    body: list[NumberedRow] = []
    for number, cells in rows:
        trimmed = refused.take(_trimmed, file, number, cells, header, separator)
        body.append((number, trimmed or []))
    refused.check()
    numeric = {name: at for name, at in columns.items() if kind_of(name) != "text"}
    european = separator in (";", "\t") and bool(separator)
    _settle_commas(file, body, numeric, refused, separator, european=european)
    refused.check()
    return Table(file, columns, units, body)


def _missing(file: str, row: int, name: str, header: Sequence[str]) -> InputError:
    return InputError(
        "a column is missing",
        file=file,
        row=row,
        field=name,
        found=shown(", ".join(header)),
        allowed="a header with this column",
    )


def _columns(
    file: str,
    row: int,
    header: list[str],
    kind_of: Callable[[str], Kind | None],
    names: Iterable[str],
    refused: Refusals,
) -> tuple[dict[str, int], dict[str, Unit]]:
    columns: dict[str, int] = {}
    units: dict[str, Unit] = {}
    for at, title in enumerate(header):
        match = _HEADER.fullmatch(title)
        name = match[1] if match else title
        kind = kind_of(name)
        typed = _SPACES.sub("_", name.lower())  # `Skirt low` is skirt_low
        if kind is None and kind_of(typed) is not None:
            name, kind = typed, kind_of(typed)
        if kind is None:
            refused.add(unknown("column", name, names, file=file, row=row, field=title))
        elif name in columns:
            refused.add(InputError("this column is there twice", file=file, row=row, field=name))
        else:
            columns[name] = at
            if match and match[2] is not None:
                unit = refused.take(_header_unit, file, row, name, match[2], kind)
                units |= {} if unit is None else {name: unit}
    return columns, units


def _header_unit(file: str, row: int, name: str, text: str, kind: Kind) -> Unit:
    refused = partial(InputError, file=file, row=row, field=name, found=shown(text))
    if kind != "length":
        raise refused("this column takes no unit", allowed="a unit with lengths only")
    try:
        return parse_unit(text)
    except ValueError as error:
        raise refused("unknown unit", allowed="mm, um (µm), in, thou") from error


def _read_csv(path: File) -> tuple[Iterator[NumberedRow], str]:
    """Return the rows that are not blank, and the separator, told by the first of them."""
    return read_separated(path, lambda line: bool(line.strip()))


def read_separated(
    path: File, is_header: Callable[[str], bool]
) -> tuple[Iterator[NumberedRow], str]:
    """Return the rows that are not blank, and the separator, told by the first header line."""
    text = read_text(path, utf16=True)
    if text.count("\n") > MOST_CELLS:
        raise too_many(str(path), "lines", f"over {MOST_CELLS}", MOST_CELLS)
    lines = text.split("\n")
    skipped = 0
    if lines[0].lower().startswith("sep=") and len(lines[0]) == len("sep=") + 1:
        skipped = 1  # some spreadsheets name the separator in a first line
    first = next(filter(is_header, lines[skipped:]), "")
    separator = lines[0][-1] if skipped else _separator(str(path), first)
    return _csv_rows(str(path), lines[skipped:], separator, skipped), separator


def _separator(file: str, header: str) -> str:
    bare = _DECIMAL.sub("", _QUOTED.sub("", header))
    others = [mark for mark in _DELIMITERS if mark in bare and mark != ","]
    found = [",", *others] if "," in bare else others
    if not others and "," in header:
        found = [","]
    if len(found) > 1:
        raise InputError(
            "the header is separated in two ways",
            file=file,
            row=1,
            found=" and ".join(_DELIMITER_NAMES[mark] for mark in found),
            allowed="comma, semicolon or tab, one of them",
        )
    return found[0] if found else ","


def _csv_rows(file: str, lines: list[str], separator: str, skipped: int) -> Iterator[NumberedRow]:
    reader = csv.reader((f"{line}\n" for line in lines), delimiter=separator, strict=True)
    number = skipped + 1
    read = rows = 0
    try:
        for cells in reader:
            stripped = [cell.strip() for cell in cells]
            check_cells(file, number, stripped)
            read, rows = read + len(cells), rows + 1
            if read > MOST_CELLS or rows > MOST_ROWS:
                what, most = ("rows", MOST_ROWS) if rows > MOST_ROWS else ("cells", MOST_CELLS)
                raise too_many(file, what, f"over {most}", most)
            if any(stripped):
                yield number, stripped
            number = skipped + reader.line_num + 1
    except csv.Error as error:
        raise InputError(
            f"this row cannot be read ({error})", file=file, row=number, allowed="quotes in pairs"
        ) from error


def _trimmed(file: str, row: int, cells: list[str], header: list[str], separator: str) -> list[str]:
    """Return a row of exactly one cell a column; empty cells beyond the header are dropped."""
    width = len(header)
    if len(cells) == width:
        return cells
    if len(cells) > width and not any(cells[width:]):
        return cells[:width]
    if not separator and len(cells) < width:  # a workbook's rows have no trailing cells
        return cells + [""] * (width - len(cells))
    comma = (
        " (a decimal comma in a table separated by commas?)"
        if (separator == "," and len(cells) > width)
        else ""
    )
    raise InputError(
        f"this row has not one cell for each column{comma}",
        file=file,
        row=row,
        field=header[min(len(cells), width - 1)],
        found=f"{len(cells)} cells",
        allowed=f"{width} cells",
    )


def _settle_commas(
    file: str,
    rows: list[NumberedRow],
    numeric: Mapping[str, int],
    refused: Refusals,
    separator: str,
    *,
    european: bool,
) -> None:
    """Turn decimal commas into points where the table is plainly of that kind, else refuse."""
    commas = [
        (row, name, cells)
        for row, cells in rows
        for name, at in numeric.items()
        if "," in cells[at]
    ]
    if not commas:
        return
    pointed = next(
        (
            (row, cells[at])
            for row, cells in rows
            for at in numeric.values()
            if "." in cells[at] and _POINT_NUMBER.fullmatch(cells[at])
        ),
        None,
    )
    for row, name, cells in commas:
        at = numeric[name]
        cell = cells[at]
        if not european or pointed or not _COMMA_NUMBER.fullmatch(cell):
            also = f" (row {pointed[0]} has '{shown(pointed[1])}')" if european and pointed else ""
            refused.add(
                InputError(
                    f"a comma in a number is ambiguous here{also}",
                    file=file,
                    row=row,
                    field=name,
                    found=shown(cell),
                    allowed="decimal points; or decimal commas throughout, separated by semicolons"
                    if separator
                    else "a decimal point in a text of a workbook",
                )
            )
        cells[at] = cell.replace(",", ".")
