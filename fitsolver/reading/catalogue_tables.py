"""The tables of a catalogue folder, read once for all of its families."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from difflib import get_close_matches
from functools import cached_property, partial
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_columns import CATALOGUE_KEYS, COLUMNS, REQUIRED, kind_of, names_of
from fitsolver.reading.catalogue_row import NEVER, Row, Usual
from fitsolver.reading.catalogue_workbook import head_of, opened
from fitsolver.reading.family_sheet import as_named, family_sheets
from fitsolver.reading.files import File, Parts, Workbook, files_of
from fitsolver.reading.hints import unknown
from fitsolver.reading.refusals import Refusals
from fitsolver.reading.sections import UNITS, Section, check_format
from fitsolver.reading.tables import Table, read_table
from fitsolver.reading.toml_file import as_bytes, read_toml

HEAD: Final = "catalogue.toml"
#: Tables whose rows may be of some families only.
SOLD: Final = ("pistons", "rings", "gaskets", "kits")
_SUFFIXES: Final = (".csv", ".xlsx")
_ALIKE: Final = 0.85  # "piston" for "pistons"


class Tables:
    """The files of a catalogue folder; each table is read once, on first use.

    Raises InputError with file, row, column, what was found and what is allowed.
    """

    def __init__(self, folder: Parts) -> None:
        self.folder = opened(folder)
        self.files = files_of(self.folder)
        self.head = head_in(self.folder, self.files)
        check_format(self.head)
        self.head.unit = self.head.choice("units", UNITS)
        try:
            self.sheets = family_sheets(self.folder)
        except InputError as error:
            self._refuse_all(error)
            raise

    def _refuse_all(self, error: InputError) -> None:
        """Raise the errors of a family sheet together with those in the columns of tables."""
        refused = Refusals(str(self.folder))
        refused.add(error)
        refused.take(lambda: self.tables)
        refused.check()

    @cached_property
    def usual(self) -> tuple[Usual, bool]:
        """Defaults for empty cells, and whether only parts on the shelf are available."""
        never = self.head.data.get("lead_days") == NEVER
        days = None if never else self.head.count("lead_days")
        return Usual(days, self.head.count("least_order", least=1)), never

    @cached_property
    def tables(self) -> dict[str, Table]:
        """The tables by name; errors in the columns of all tables are refused together."""
        refused = Refusals(str(self.folder))
        found = {name: refused.take(_table, self.folder, self.files, name) for name in COLUMNS}
        refused.check()
        tables = {name: table for name, table in found.items() if table is not None}
        if "pistons" not in tables or not tables["pistons"].rows:
            raise InputError(
                "the catalogue has no pistons",
                file=str(self.folder),
                allowed="pistons.csv (or .xlsx) with a row for each piston",
            )
        return tables

    @cached_property
    def rows(self) -> dict[str, list[Row]]:
        """The rows of every table."""
        usual, unit = self.usual[0], self.head.unit
        return {
            name: [Row(table, number, cells, unit, usual) for number, cells in table.rows]
            for name, table in self.tables.items()
        }

    @cached_property
    def content(self) -> bytes:
        """The content of the tables, for a fingerprint."""
        return b"".join(as_bytes([n, self.tables[n].content]) for n in sorted(self.tables))

    @cached_property
    def numbers(self) -> Mapping[str, str]:
        """Every part number of the folder with its place, once each."""
        return self._sold[0]

    @cached_property
    def refused(self) -> Sequence[InputError]:
        """Errors in number, price, stock and lead time of the rows of every family."""
        return self._sold[1]

    @cached_property
    def _sold(self) -> tuple[Mapping[str, str], Sequence[InputError]]:
        numbers: dict[str, str] = {}
        found: list[InputError] = []
        for name in SOLD:
            for row in self.rows.get(name, ()):
                try:
                    row.sold(numbers)
                except InputError as error:
                    found.append(error)
        return numbers, found

    def of_family(self, name: str, family: str) -> list[Row]:
        """Return the rows of one table for a family: rows that name it, or that name no family.

        Raises InputError for a row of a family that no sheet knows, with a near one named.
        """
        known = {*self.sheets, family} if self.sheets else set[str]()
        if not known or family not in self.sheets:  # a family that the head alone names
            return _rows_of(self.rows.get(name, ()), family, known)
        places = self._by_family[name]
        own = sorted([*places.get("", ()), *places.get(family, ())])
        rows = self.rows.get(name, [])
        return [rows[at] for at in own]

    @cached_property
    def _by_family(self) -> dict[str, dict[str, list[int]]]:
        """The places of each table's rows by family; "": those of every one."""
        own = self.head.word("family")
        known = {*self.sheets, *([own] if own else ())}
        refused = Refusals(str(self.folder))
        found: dict[str, dict[str, list[int]]] = {}
        for name in SOLD:
            found[name] = defaultdict(list)
            for at, row in enumerate(self.rows.get(name, ())):
                named = refused.take(_families_named, row, known) or []
                for family in named or ("",):
                    found[name][family].append(at)
        refused.check()
        return found


def _families_named(row: Row, known: Iterable[str]) -> list[str]:
    """Return the families that a row names, each once; refused where one is not known."""
    named = [name.strip() for name in row.text("family").split(";") if name.strip()]
    families = [as_named(name, known) for name in named]
    for name, family in zip(named, families, strict=True):
        if known and family not in known:
            raise unknown(
                "family", name, sorted(known), file=row.table.file, row=row.number, field="family"
            )
    return list(dict.fromkeys(families))


def _rows_of(rows: Iterable[Row], family: str, known: Iterable[str]) -> list[Row]:
    found = []
    for row in rows:
        named = _families_named(row, known)
        if not named or any(as_named(name, (family,)) == family for name in named):
            found.append(row)
    return found


def head_in(folder: Parts, files: Mapping[str, File]) -> Section:
    """Return the content of catalogue.toml, or of the sheet `catalogue` of a workbook."""
    if isinstance(folder, Workbook):
        file = f"{folder}, sheet 'catalogue'"
        return Section(head_of(folder, CATALOGUE_KEYS), CATALOGUE_KEYS, file=file, place="")
    if HEAD not in files:
        raise InputError(
            f"the folder has no {HEAD}",
            file=str(folder),
            allowed=f"a catalogue folder with {HEAD} and pistons.csv",
        )
    file = str(files[HEAD])
    return Section(read_toml(files[HEAD]), CATALOGUE_KEYS, file=file, place="")


def _table(folder: Parts, files: dict[str, File], name: str) -> Table | None:
    """Return one table of the folder, None when it is not there under this or a near name."""
    found = [files[name + suffix] for suffix in _SUFFIXES if name + suffix in files]
    if len(found) > 1:
        raise InputError(
            f"the table of {name} is there twice",
            file=str(folder),
            found=" and ".join(path.name for path in found),
            allowed="one of them",
        )
    if found:
        return read_table(found[0], partial(kind_of, name), names_of(name), REQUIRED[name])
    stems = {
        path.stem: path
        for key, path in files.items()
        if path.suffix.lower() in _SUFFIXES and path.stem.lower() not in COLUMNS
    }
    near = get_close_matches(name, stems, n=1, cutoff=_ALIKE)
    if near:
        raise InputError(
            f"this looks like the table of {name} under another name",
            file=str(stems[near[0]]),
            allowed=f"{name}.csv or {name}.xlsx",
        )
    return None
