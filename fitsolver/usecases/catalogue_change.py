"""Rows of a catalogue's tables and figures of a family's sheet, corrected as a person types them.

The files of a catalogue are texts by name, as in `files_of`; what comes back are the files that
change. Nothing is written here. `check_change` reads the whole as a catalogue would be read.
"""

from __future__ import annotations

import csv
import io
import re
import shutil
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import Final, NamedTuple

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_columns import COLUMNS, REQUIRED, kind_of, names_of
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.reading.family_sheet import as_named, family_sheets
from fitsolver.reading.owners import nearest_shop
from fitsolver.reading.sections import Section
from fitsolver.reading.tables import Table, read_separated, read_table
from fitsolver.reading.toml_edit import with_values
from fitsolver.reading.toml_text import value_text

#: Tables whose rows are corrected here, and what of a row may be.
CORRECTED: Final[Mapping[str, tuple[str, ...]]] = {
    "pistons": (
        "price", "stock", "lead_days", "oversize", "skirt_low", "skirt_high", "for_bore",
        "for_clearance_low", "for_clearance_high",
    ),
    "rings": ("price", "stock", "lead_days", "gauge_diameter", "gap_low", "gap_high"),
    "gaskets": ("price", "stock", "lead_days", "thickness"),
    "kits": ("price", "stock", "lead_days", "contents"),
}  # fmt: skip
_COMMA: Final = re.compile(r"[+-]?\d*,\d+")
_NUMBER: Final = re.compile(r"[+-]?(\d+(\.\d+)?|\.\d+)")


class TableRow(NamedTuple):
    """A row of a table: its number in the file, its cells by column, all as text."""

    number: int
    cells: Mapping[str, str]


class TableShown(NamedTuple):
    """A table as it may be corrected: its columns of `CORRECTED`, units of headers, rows."""

    name: str
    columns: tuple[str, ...]
    units: Mapping[str, str]
    rows: tuple[TableRow, ...]


def tables_shown(folder: Path, family: str) -> tuple[TableShown, ...]:
    """Return the tables of a catalogue folder with the rows of one family, and those of every one.

    Raises InputError as reading the table does.
    """
    found = []
    for name, columns in CORRECTED.items():
        file = _file_of(folder, name)
        if file is None:
            continue
        table = _read(folder, file, name)
        rows = tuple(
            TableRow(number, {column: cells[at] for column, at in table.columns.items()})
            for number, cells in table.rows
            if _of_family(table, cells, family)
        )
        kept = tuple(column for column in columns if column in table.columns)
        units = {column: str(unit) for column, unit in table.units.items()}
        found.append(TableShown(name, kept, units, rows))
    return tuple(found)


def _of_family(table: Table, cells: Sequence[str], family: str) -> bool:
    at = table.columns.get("family")
    named = [] if at is None else [part.strip() for part in cells[at].split(";") if part.strip()]
    return not named or any(as_named(name, (family,)) == family for name in named)


def _file_of(folder: Path, name: str) -> str | None:
    found = (f"{name}.csv", f"{name}.xlsx")
    return next((file for file in found if (folder / file).is_file()), None)


def _read(folder: Path, file: str, name: str) -> Table:
    return read_table(folder / file, partial(kind_of, name), names_of(name), REQUIRED[name])


def corrected_table(
    folder: Path, name: str, changes: Mapping[int, Mapping[str, str]]
) -> tuple[dict[str, str], tuple[str, ...]]:
    """Return the file of a table with cells changed, by row number and column; files to take out.

    A table of a workbook becomes a CSV file. Columns that may not be corrected are refused, and so
    are rows that are not there (InputError).
    """
    file = _file_of(folder, name)
    if file is None or name not in CORRECTED:
        raise InputError("there is no such table", found=name[:40])
    table = _read(folder, file, name)
    numbered, separator = _raw(folder / file)
    rows = [(number, list(cells)) for number, cells in numbered]
    marks = _has_commas(table, [cells for _, cells in rows[1:]])
    places = {number: place for place, (number, _) in enumerate(rows)}
    for number, cells in changes.items():
        for column, typed in cells.items():
            if column not in table.columns or column not in CORRECTED[name] or number not in places:
                raise table.error(number, column, "this cannot be corrected here")
            row = rows[places[number]][1]
            row += [""] * (table.columns[column] + 1 - len(row))
            row[table.columns[column]] = _cell(name, column, typed, comma=marks)
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator or ",", lineterminator="\n")
    width = len(rows[0][1])
    writer.writerows([*cells, *[""] * (width - len(cells))] for _, cells in rows)
    gone = (file,) if file.endswith(".xlsx") else ()
    return {f"{name}.csv": out.getvalue()}, gone


def _raw(path: Path) -> tuple[Iterator[tuple[int, list[str]]], str]:
    if path.suffix == ".xlsx":
        from fitsolver.reading.excel import read_sheet  # openpyxl is slow to import

        return read_sheet(path), ""
    return read_separated(path, lambda line: bool(line.strip()))


def _has_commas(table: Table, rows: Sequence[Sequence[str]]) -> bool:
    """Tell whether the figures of a table are written with decimal commas."""
    numeric = [at for name, at in table.columns.items() if name not in ("contents", "number")]
    return any(at < len(row) and _COMMA.fullmatch(row[at]) for row in rows for at in numeric)


def _cell(table: str, column: str, typed: str, *, comma: bool) -> str:
    text = " ".join(typed.split())
    if COLUMNS[table][column] == "text":
        return text
    if _COMMA.match(text):
        text = text.replace(",", ".")
    return text.replace(".", ",") if comma else text


def sheet_file(folder: Path, family: str) -> str:
    """Return the name of the file that a family's sheet stands in, '' where it has none."""
    sheets = family_sheets(folder)
    if family not in sheets:
        return ""
    return Path(sheets[family].file).relative_to(folder).as_posix()


def sheet_of_family(folder: Path, family: str) -> Section | None:
    """Return the sheet of a family; None where it has none."""
    return family_sheets(folder).get(family)


def corrected_sheet(
    folder: Path, family: str, values: Mapping[str, str], dropped: Sequence[str] = ()
) -> dict[str, str]:
    """Return the file of a family's sheet with figures as typed, by their path.

    A family without a sheet gets one. Raises InputError where a figure cannot be written.
    """
    name = sheet_file(folder, family)
    path = folder / name if name else None
    if path is None:
        name = "family.toml"
        text = f"format = 1\nfamily = {value_text(family)}\n"
    else:
        text = path.read_text(encoding="utf-8-sig")
    written = {key: typed_value(value) for key, value in values.items()}
    return {name: with_values(text, written, dropped)}


def typed_value(text: str) -> str:
    """Return what was typed as a TOML value: a number, yes or no, else a text."""
    typed = " ".join(text.split())
    if not typed:
        return ""
    if _COMMA.fullmatch(typed):
        typed = typed.replace(",", ".")
    if _NUMBER.fullmatch(typed):
        bare = typed.lstrip("+")
        sign, bare = ("-", bare[1:]) if bare.startswith("-") else ("", bare)
        whole, point, rest = bare.partition(".")
        return f"{sign}{whole.lstrip('0') or '0'}{point}{rest}"
    if typed.lower() in ("yes", "no"):
        return "true" if typed.lower() == "yes" else "false"
    return value_text(typed)


def check_change(
    folder: Path,
    files: Mapping[str, str],
    gone: Sequence[str],
    family: str,
    as_at_counter: Callable[[Sequence[str], Path, Path | None], object],
) -> None:
    """Read a catalogue as it would be with files changed; raises InputError as reading it does.

    The family's sheet is read as the counter reads it, by `as_at_counter`. A window that is still
    missing is no reason to refuse.
    """
    with tempfile.TemporaryDirectory() as work:
        new = Path(work) / "catalogue"
        _copied(folder, new, files, gone)
        try:
            read_catalogue(new, family)
            _but_for_windows(as_at_counter, (family, "std"), new, nearest_shop(folder))
        except InputError as error:
            error.file = Path(error.file).name if error.file else ""
            error.message = error.message.replace(str(new), "the catalogue")
            raise


def _but_for_windows(
    read: Callable[[Sequence[str], Path, Path | None], object],
    words: Sequence[str],
    folder: Path,
    shop: Path | None,
) -> None:
    try:
        read(words, folder, shop)
    except InputError as error:
        if error.field != "window" or "has no window for" not in error.message:
            raise


def _copied(folder: Path, new: Path, files: Mapping[str, str], gone: Sequence[str]) -> None:
    new.mkdir()
    for path in folder.rglob("*"):
        name = path.relative_to(folder).as_posix()
        if path.is_file() and name not in gone and name not in files:
            (new / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(path, new / name)
    for name, text in files.items():
        (new / name).parent.mkdir(parents=True, exist_ok=True)
        (new / name).write_text(text, encoding="utf-8")
