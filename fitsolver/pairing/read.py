"""Tables of measured bores and of measured pieces: CSV, Excel, Parquet.

Small tables are read as every table of this program; Parquet, and CSV files of more than 20 MB,
column by column as those of screening. A row has the number that it has in its file.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit, parse_length, parse_unit
from fitsolver.pairing.measured import Faults, Side, checked
from fitsolver.reading.chunks import Header, read_chunks
from fitsolver.reading.columns import Chunk, Column, Numbers, sizes
from fitsolver.reading.files import LARGEST
from fitsolver.reading.hints import shown, unknown
from fitsolver.reading.tables import Kind, read_table

_KINDS: Final = (".csv", ".xlsx", ".parquet")


@dataclass(frozen=True)
class Layout:
    """The columns of a table: its name, its size, and texts that may be left out."""

    name: str
    size: str
    more: tuple[str, ...]

    @property
    def columns(self) -> tuple[str, ...]:
        return (self.name, self.size, *self.more)

    @property
    def to_blame(self) -> str:
        """The field of a name that is there twice."""
        return "piece" if "piece" in self.more else self.name


BORES: Final = Layout("name", "bore", ("grade", "note"))
PIECES: Final = Layout("number", "size", ("piece", "grade", "note"))


def read_sides(bores: Path, pieces: Path, unit: Unit) -> tuple[Side, Side]:
    """Return both tables; one message lists the faults of both. See `read_side`."""
    sides, refused = [], []
    for path, layout in ((bores, BORES), (pieces, PIECES)):
        try:
            sides.append(read_side(path, unit, layout))
        except InputError as error:
            refused.append(error)
    if len(refused) > 1:
        raise InputError("\n".join(map(str, refused)))
    if refused:
        raise refused[0]
    return sides[0], sides[1]


def read_side(path: Path, unit: Unit, layout: Layout) -> Side:
    """Return a table; `unit` holds where neither column nor cell names one.

    Raises InputError for a file that cannot be read, for columns that are unknown, missing or
    double, and for all its wrong cells in one message.
    """
    kind = path.suffix.lower()
    if kind not in _KINDS:
        raise InputError(
            "no such table",
            file=str(path),
            found=kind or "no ending",
            allowed=", ".join(_KINDS),
        )
    large = kind == ".parquet" or (kind == ".csv" and path.is_file() and _is_large(path))
    return (_read_columns if large else _read_rows)(path, unit, layout)


def _is_large(path: Path) -> bool:
    return path.stat().st_size > LARGEST


def _read_rows(path: Path, unit: Unit, layout: Layout) -> Side:
    def kind_of(name: str) -> Kind | None:
        if name == layout.size:
            return "length"
        return "text" if name in layout.columns else None

    table = read_table(path, kind_of, layout.columns, (layout.name, layout.size))
    faults = Faults(str(path))
    rows = [row for row, _ in table.rows]
    texts = {
        name: [cells[table.columns[name]].strip() for _, cells in table.rows]
        for name in table.columns
    }
    parse = _Parser(table.units.get(layout.size, unit))
    ticks = [
        parse(faults, row, layout.size, text)
        for row, text in zip(rows, texts[layout.size], strict=True)
    ]
    return _side(path, layout, rows, texts, ticks, faults)


class _Parser:
    """Parses cells to ticks, each distinct text once; an invalid cell is noted and becomes 0."""

    def __init__(self, unit: Unit) -> None:
        self._unit, self._known = unit, dict[str, int]()

    def __call__(self, faults: Faults, row: int, name: str, text: str) -> int:
        if text not in self._known:
            try:
                self._known[text] = parse_length(text, self._unit)
            except ValueError as error:
                message = "a size is missing" if not text else str(error)
                faults.add(row, name, message, shown(text), "a size above zero")
                return 0
        return self._known[text]


def _side(
    path: Path,
    layout: Layout,
    rows: list[int],
    texts: dict[str, list[str]],
    ticks: list[int],
    faults: Faults,
) -> Side:
    empty = [""] * len(rows)
    for row, text in zip(rows, texts[layout.name], strict=True):
        if not text:
            faults.add(row, layout.name, f"a {layout.name} is missing", "")
    side = Side(
        str(path),
        rows,
        texts[layout.name],
        texts.get("piece", empty),
        ticks,
        texts.get("grade", empty),
        has_grades="grade" in texts and any(texts["grade"]),
    )
    return checked(side, layout.to_blame, layout.size, faults)


def _read_columns(path: Path, unit: Unit, layout: Layout) -> Side:
    faults = Faults(str(path))
    #: The header of a CSV file is its first row.
    before = 1 if path.suffix.lower() == ".csv" else 0
    rows: list[int] = []
    ticks: list[int] = []
    texts: dict[str, list[str]] = {}
    for chunk in read_chunks(path, unit, partial(_heading, layout)):
        kept = _filled(chunk)
        numbers = [chunk.start + before + at for at in kept]
        rows += numbers
        ticks += _ticks(chunk, layout.size, kept, numbers, faults)
        for name, column in chunk.columns.items():
            if name != layout.size:
                texts.setdefault(name, []).extend(_texts(column, kept))
    return _side(path, layout, rows, texts or {layout.name: []}, ticks, faults)


def _ticks(
    chunk: Chunk, name: str, kept: list[int], numbers: list[int], faults: Faults
) -> list[int]:
    """Return the sizes of rows of a chunk; a binary fraction between two ticks is refused."""
    column, unit = chunk.columns[name], chunk.units[name]
    found = sizes(column, unit, "up")
    between = (found.ticks != sizes(column, unit, "down").ticks).tolist()
    size_of, wrong = found.ticks.tolist(), found.wrong.tolist()
    for at, row in zip(kept, numbers, strict=True):
        if wrong[at] or between[at]:
            reason = found.reasons[wrong[at]] or "finer than the grid of 0.00001 mm"
            message = "a size is missing" if reason == "empty" else reason
            faults.add(row, name, message, shown(column.at(at)), "a size above zero")
    return [size_of[at] for at in kept]


def _heading(layout: Layout, path: Path, titles: Iterable[str], unit: Unit) -> Header:
    named: dict[str, str] = {}
    units: dict[str, Unit] = {}
    for title in titles:
        name, bracket, rest = title.partition("[")
        name = name.strip()
        if name not in layout.columns:
            raise unknown("column", name, layout.columns, file=str(path), row=1, field=shown(title))
        if name in named:
            raise InputError("this column is there twice", file=str(path), row=1, field=name)
        named[name], units[name] = title, unit
        if bracket:
            units[name] = _unit(path, name, rest.rstrip().removesuffix("]"), layout)
    for name in (layout.name, layout.size):
        if name not in named:
            raise InputError(
                "a column is missing",
                file=str(path),
                row=1,
                field=name,
                found=shown(", ".join(titles)),
                allowed="a header with this column",
            )
    return Header(named, units, (layout.size,))


def _unit(path: Path, name: str, text: str, layout: Layout) -> Unit:
    if name != layout.size:
        raise InputError("this column takes no unit", file=str(path), row=1, field=name)
    try:
        return parse_unit(text)
    except ValueError as error:
        raise InputError(str(error), file=str(path), row=1, field=name) from error


def _filled(chunk: Chunk) -> list[int]:
    """Return the rows of a chunk in which anything stands."""
    texts = [_texts(column, range(chunk.rows)) for column in chunk.columns.values()]
    return [at for at, cells in enumerate(zip(*texts, strict=True)) if any(cells)]


def _texts(column: Column, rows: Iterable[int]) -> list[str]:
    if isinstance(column, Numbers):
        return [column.at(row) for row in rows]
    values = [*(value.strip() for value in column.values), ""]
    codes = column.codes.tolist()
    return [values[codes[row]] for row in rows]
