"""Rows of a catalogue's tables with typed corrections.

The files of a catalogue are texts by name, as in `files_of`; only changed files come back. Nothing
is written here. `check_change` reads the whole as a catalogue would be read.
"""

from __future__ import annotations

import csv
import io
import re
import shutil
import tempfile
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import Final, NamedTuple

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_columns import COLUMNS, REQUIRED, kind_of, names_of
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.reading.family_sheet import as_named
from fitsolver.reading.owners import nearest_shop
from fitsolver.reading.tables import Table, read_separated, read_table

#: Tables whose rows may be corrected here, and their correctable columns.
CORRECTED: Final[Mapping[str, tuple[str, ...]]] = {
    "pistons": (
        "price", "stock", "lead_days", "oversize", "skirt_low", "skirt_high", "for_bore",
        "for_clearance_low", "for_clearance_high",
    ),
    "rings": ("price", "stock", "lead_days", "gauge_diameter", "gap_low", "gap_high"),
    "gaskets": ("price", "stock", "lead_days", "thickness"),
    "kits": ("price", "stock", "lead_days", "contents"),
    "routes": (
        "kind", "half_width", "min_cut", "max_cut", "materials", "cost", "days", "restored_bore",
    ),
    "stages": ("stage", "leaves_low", "leaves_high", "half_width"),
}  # fmt: skip
#: Tables of the shop: rows may be added and dropped; the first row creates the table.
OF_SHOP: Final[Mapping[str, str]] = {"routes": "name", "stages": "route"}
#: Columns of words, where a comma is no decimal point.
OF_WORDS: Final = frozenset(
    column for columns in COLUMNS.values() for column, kind in columns.items() if kind == "text"
)
_COMMA: Final = re.compile(r"[+-]?\d*,\d+")


class TableRow(NamedTuple):
    """A row of a table: its number in the file, its cells by column, all as text."""

    number: int
    cells: Mapping[str, str]


class TableShown(NamedTuple):
    """A table as it may be corrected: its columns of `CORRECTED`, units of headers, rows.

    `key` is the column that a row is called by; `grows` where rows come and go.
    """

    name: str
    columns: tuple[str, ...]
    units: Mapping[str, str]
    rows: tuple[TableRow, ...]
    key: str = "number"
    grows: bool = False


def tables_shown(folder: Path, family: str) -> tuple[TableShown, ...]:
    """Return the tables of a catalogue folder with the rows of one family, and those of every one.

    Raises InputError as reading the table does.
    """
    found = []
    for name, columns in CORRECTED.items():
        file = _file_of(folder, name)
        if file is None:
            if name in OF_SHOP:
                found.append(TableShown(name, columns, {}, (), OF_SHOP[name], grows=True))
            continue
        table = _read(folder, file, name)
        rows = tuple(
            TableRow(number, _cells(table, columns, cells))
            for number, cells in table.rows
            if _of_family(table, cells, family)
        )
        units = {column: str(unit) for column, unit in table.units.items()}
        if name in OF_SHOP:
            found.append(TableShown(name, columns, units, rows, OF_SHOP[name], grows=True))
            continue
        kept = tuple(column for column in columns if column in table.columns)
        found.append(TableShown(name, kept, units, rows))
    return tuple(found)


def _cells(table: Table, columns: Sequence[str], cells: Sequence[str]) -> dict[str, str]:
    found = {column: cells[at] for column, at in table.columns.items()}
    return {**dict.fromkeys(columns, ""), **found}


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
    folder: Path,
    name: str,
    changes: Mapping[int, Mapping[str, str]],
    added: Mapping[str, str] | None = None,
    dropped: Collection[int] = (),
) -> tuple[dict[str, str], tuple[str, ...]]:
    """Return the file of a table with cells changed, by row number and column; files to take out.

    In the shop's own tables a row may be `added`, and rows `dropped`; the table begins with its
    first row, and is taken out with its last. A table of a workbook becomes a CSV file. Columns
    that may not be corrected are refused, and so are rows that are not there (InputError).
    """
    file = _file_of(folder, name)
    if name not in CORRECTED or (file is None and not (name in OF_SHOP and added)):
        raise InputError("there is no such table", found=name[:40])
    if (added or dropped) and name not in OF_SHOP:
        raise InputError("rows of this table do not come and go here", found=name)
    sheet = _Sheet.new(name) if file is None else _Sheet.read(folder, file, name)
    for number, cells in changes.items():
        for column, typed in cells.items():
            sheet.put(number, column, typed)
    for number in dropped:
        sheet.rows.pop(number, None)
    if added:
        sheet.add(added)
    if not sheet.rows:
        return {}, (file,) if file else ()
    gone = (file,) if file and file.endswith(".xlsx") else ()
    return {f"{name}.csv": sheet.text()}, gone


class _Sheet:
    """A table as it is written: the cells of its header, its rows by their number in the file."""

    def __init__(self, name: str, columns: list[str], head: list[str], separator: str) -> None:
        self.name, self.columns, self.head, self.separator = name, columns, head, separator
        self.rows: dict[int, list[str]] = {}
        self.comma = False
        self.table: Table | None = None

    @classmethod
    def new(cls, name: str) -> _Sheet:
        """Return a table of the shop without rows."""
        columns = [OF_SHOP[name], *CORRECTED[name]]
        return cls(name, columns, list(columns), ",")

    @classmethod
    def read(cls, folder: Path, file: str, name: str) -> _Sheet:
        """Return a table of a catalogue; raises InputError as reading it does."""
        table = _read(folder, file, name)
        numbered, separator = _raw(folder / file)
        (_, head), *rows = ((number, list(cells)) for number, cells in numbered)
        names = {at: column for column, at in table.columns.items()}
        found = cls(name, [names.get(at, text) for at, text in enumerate(head)], head, separator)
        found.rows = dict(rows)
        found.table, found.comma = table, _has_commas(table, list(found.rows.values()))
        return found

    def put(self, number: int, column: str, typed: str) -> None:
        """Put the typed text into a cell; raises InputError for a cell closed to corrections."""
        known = column in self.columns or self.name in OF_SHOP
        if column not in CORRECTED[self.name] or number not in self.rows or not known:
            assert self.table is not None, "a new table has no rows yet"
            raise self.table.error(number, column, "this cannot be corrected here")
        row, at = self.rows[number], self._place(column)
        row += [""] * (at + 1 - len(row))
        row[at] = self._cell(column, typed)

    def add(self, cells: Mapping[str, str]) -> None:
        """Add a row at the end."""
        row = {self._place(column): self._cell(column, text) for column, text in cells.items()}
        self.rows[max(self.rows, default=1) + 1] = [
            row.get(at, "") for at, _ in enumerate(self.columns)
        ]

    def _place(self, column: str) -> int:
        """Return the position of a column; a new column comes last."""
        if column not in self.columns:
            self.columns.append(column)
            self.head.append(column)
        return self.columns.index(column)

    def _cell(self, column: str, typed: str) -> str:
        return _cell(self.name, column, typed, comma=self.comma)

    def text(self) -> str:
        """Return the table as a CSV file."""
        out = io.StringIO()
        writer = csv.writer(out, delimiter=self.separator or ",", lineterminator="\n")
        rows = [self.head, *self.rows.values()]
        writer.writerows([*cells, *[""] * (len(self.head) - len(cells))] for cells in rows)
        return out.getvalue()


def _raw(path: Path) -> tuple[Iterator[tuple[int, list[str]]], str]:
    if path.suffix == ".xlsx":
        from fitsolver.reading.excel import read_sheet  # openpyxl is slow to import

        return read_sheet(path), ""
    return read_separated(path, lambda line: bool(line.strip()))


def _has_commas(table: Table, rows: Sequence[Sequence[str]]) -> bool:
    """Tell whether the figures of a table are written with decimal commas."""
    numeric = [at for name, at in table.columns.items() if name not in OF_WORDS]
    return any(at < len(row) and _COMMA.fullmatch(row[at]) for row in rows for at in numeric)


def _cell(table: str, column: str, typed: str, *, comma: bool) -> str:
    text = " ".join(typed.split())
    if COLUMNS[table][column] == "text":
        return text
    if _COMMA.match(text):
        text = text.replace(",", ".")
    return text.replace(".", ",") if comma else text


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
