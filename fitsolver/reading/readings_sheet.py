"""A readings sheet, however it is laid out, as a table of one reading a row."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Final, Literal

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import TICKS_PER, Unit, parse_unit
from fitsolver.reading.files import File
from fitsolver.reading.quantities import length_of
from fitsolver.reading.reading_words import FIGURE, in_english
from fitsolver.reading.readings_grid import Laid, NumberedRow, check_titles, laid_out
from fitsolver.reading.refusals import Refusals
from fitsolver.reading.sheet_words import not_laid_out
from fitsolver.reading.tables import Kind, Table, read_separated, read_table, table_of
from fitsolver.reading.unanswered import UnansweredError

ReadAs = Literal["diameter", "dial"]
READ_AS: Final[tuple[ReadAs, ...]] = ("diameter", "dial")
SHEET_COLUMNS: Final[dict[str, Kind]] = {
    "cylinder": "text",
    "depth": "length",
    "axis": "text",
    "diameter": "length",
    "dial": "length",
    "unit": "text",
}
_REQUIRED: Final = ("cylinder", "depth", "axis")
_WORD: Final = re.compile(r"[^\W\d_]+")
#: Ticks: see `kind_of_figures`.
LEAST_BORE, MOST_DIAL = 10 * TICKS_PER["mm"], 5 * TICKS_PER["mm"]
#: The unit behind a figure.
_SUFFIX: Final = re.compile(r"[+-]?[\d.,]+\s*([^\d\s.,]+)")


def read_readings(path: File, unit: Unit, read_as: ReadAs | None = None) -> Table:
    """Return a readings sheet as a table of one reading a row, however it is laid out.

    `unit` is that of lengths which name none, `read_as` what the figures of a grid are where
    neither its words nor their sizes tell. Of a workbook it is the only sheet that has readings.
    Raises InputError as `read_table` does.
    """
    file, separator = str(path), ""
    if path.suffix.lower() == ".xlsx":
        sheets = sheets_of(path)
        found = [(t, laid) for t, rows in sheets.items() if (laid := laid_out(file, rows))]
        if len(found) > 1 or (len(sheets) > 1 and not found):
            from fitsolver.reading.excel import one_sheet

            raise one_sheet(file, [title for title, _ in found] or list(sheets))
        laid = found[0][1] if found else None
        rows = sheets[found[0][0]] if found else next(iter(sheets.values()), [])
    else:
        rows, separator = text_rows(path)
        laid = laid_out(file, rows)
    refusal = not_laid_out(file, rows) if laid is None else None
    if refusal is not None:
        raise refusal
    if laid is None:
        return read_table(path, SHEET_COLUMNS.get, SHEET_COLUMNS, _REQUIRED)
    check_merged(file, rows, laid)
    return table_from(file, laid, separator, unit, read_as)


def check_merged(file: str, rows: Sequence[NumberedRow], laid: Laid) -> None:
    """Refuse merged cells among the readings; titles and headings may be merged across."""
    read = [number for number, _ in laid.rows[1:]]
    if read and getattr(rows, "merged", []):
        from fitsolver.reading.excel import check_across

        check_across(file, rows, min(read), max(read))


def sheets_of(path: File) -> dict[str, list[NumberedRow]]:
    """Return the filled sheets of a workbook by their titles."""
    from fitsolver.reading.excel import laid_sheets  # openpyxl is slow to import

    return {**laid_sheets(path)}


def text_rows(path: File) -> tuple[list[NumberedRow], str]:
    """Return the rows of a text table and what separates their cells."""
    numbered, separator = read_separated(path, _is_header)
    rows = list(numbered)
    if any(_heads(cells, separator) for _, cells in rows):
        return rows, separator
    numbered, other = read_separated(path, _is_separated)  # no heading of it is known
    return (rows, separator) if other == "," else (list(numbered), other)


def _heads(cells: Sequence[str], separator: str) -> bool:
    """Tell whether cells are more than prose in which a comma stands."""
    return len(cells) > 1 and (separator != "," or any(map(_has_words, cells)))


def _has_words(text: str) -> bool:
    """Tell whether a text has a word that heads the places of readings."""
    return any(in_english(word).casefold() in _REQUIRED for word in _WORD.findall(text))


def _is_separated(line: str) -> bool:
    return ";" in line or "\t" in line


def table_from(
    file: str,
    laid: Laid,
    separator: str,
    unit: Unit,
    read_as: ReadAs | None = None,
    *,
    titled: bool = True,
) -> Table:
    """Return a grid's rows as a table; `titled`: a title's unit must be that of its figures."""
    kinds = {**SHEET_COLUMNS, FIGURE: "length"}
    table = table_of(file, laid.rows, separator, kinds.get, SHEET_COLUMNS, _REQUIRED)
    if not table.rows:
        raise InputError(
            "no readings stand below the headings", file=file, row=laid.rows[0][0],
            allowed="a reading or more",
        )  # fmt: skip
    of_titles = next((kind for kind in READ_AS if kind == laid.kind), None)
    table = _of_one_kind(table, unit, read_as or of_titles)
    if titled:
        check_titles(file, laid.titles, units_of(table, unit))
    return table


def units_of(table: Table, unit: Unit) -> Iterator[Unit]:
    """Yield every unit that a length of a table is read in."""
    lengths = [name for name in ("depth", *READ_AS) if name in table.columns]
    yield from (table.units.get(name, unit) for name in lengths)
    for _, cells in table.rows:
        for cell in cells:
            suffix = _SUFFIX.fullmatch(cell)
            with suppress(ValueError):
                yield parse_unit(suffix[1] if suffix else cell)


def _of_one_kind(table: Table, unit: Unit, read_as: ReadAs | None) -> Table:
    """Return a grid's figures as diameters or dial deviations, where their sizes tell which."""
    at = table.columns.get(FIGURE)
    if at is None:
        return table
    own = table.columns.get("unit")
    headed = table.units.get(FIGURE, unit)
    sizes = []
    refused = Refusals(table.file)
    for row, cells in table.rows:
        try:
            in_unit = parse_unit(cells[own]) if own is not None and cells[own] else headed
            sizes.append(length_of(cells[at], in_unit))
        except ValueError as error:
            field = f"{FIGURE}, {_place(table, cells)}"
            refused.add(table.error(row, field, str(error), allowed=f"a length in {headed}"))
    refused.check()
    try:
        kind = kind_of_figures(table.file, sizes, read_as)
    except UnansweredError as error:
        row, cells = _odd_one(table, sizes)
        error.row, error.found = row, f"{cells[at]} at {_place(table, cells)}"
        raise
    columns = {kind if name == FIGURE else name: at for name, at in table.columns.items()}
    units = {kind if name == FIGURE else name: unit for name, unit in table.units.items()}
    return replace(table, columns=columns, units=units)


def _place(table: Table, cells: Sequence[str]) -> str:
    """Return where a reading was taken, for messages."""
    cylinder, depth, axis = (cells[table.columns[name]] for name in _REQUIRED)
    return ", ".join(filter(None, (cylinder and f"cylinder {cylinder}", f"depth {depth}", axis)))


def _odd_one(table: Table, sizes: Sequence[int]) -> tuple[int, list[str]]:
    """Return the first row whose figure is not as most are: a bore's size, or a small one."""
    large = [size >= LEAST_BORE for size in sizes]
    usual = 2 * sum(large) >= len(large)
    return table.rows[next((at for at, one in enumerate(large) if one != usual), 0)]


def kind_of_figures(file: str, sizes: Sequence[int], said: ReadAs | None = None) -> ReadAs:
    """Return whether figures (ticks) are diameters or dial deviations, as `said` for a mixture.

    Raises InputError for an unexplained mixture of sizes and dial readings.

    No bore is smaller than 10 mm, and no dial stands off by 5 mm: common practice, no source.
    """
    if all(size >= LEAST_BORE for size in sizes):
        return "diameter"
    if all(abs(size) <= MOST_DIAL for size in sizes):
        return "dial"
    if said is not None:
        return said
    raise UnansweredError(
        "these figures may be diameters or dial deviations",
        answers="readings_as",
        question=f"Are the readings diameters or dial deviations? ({', '.join(READ_AS)})",
        file=file,
        field="readings",
        allowed="diameter or dial in the heading, as readings_as of the cylinder, or for a new job "
        "--readings-as",
    )


def _is_header(line: str) -> bool:
    """Tell whether a line of a text table may head readings: it has their words, in cells."""
    return _has_words(line) and any(mark in line for mark in ",;\t")
