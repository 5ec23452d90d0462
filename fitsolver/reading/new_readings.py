"""The readings a new job starts with: a sheet of any layout, or an instrument's plain column."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.reading.hints import shown
from fitsolver.reading.quantities import length_of, parse_axis
from fitsolver.reading.readings_sheet import ReadAs, kind_of_figures, read_readings
from fitsolver.reading.refusals import RefusalsError
from fitsolver.reading.tables import read_separated

_FIELD: Final = "readings"


@dataclass(frozen=True)
class Read:
    """Readings of a new job: its cylinders, and the sheet, or rows of depth, axis and figure."""

    names: tuple[str, ...]
    kind: ReadAs
    file: str = ""
    rows: tuple[tuple[tuple[str, str, str], ...], ...] = ()


def read_for_new(folder: Path, file: str, places: str, unit: Unit, cylinders: int | None) -> Read:
    """Return the readings in a file that the new job in a folder names.

    `places` say where each bore was read, in the order of a plain column: `8 thrust, 8 pin`; ""
    of a sheet that says so itself. `cylinders` is how many there must be (None: any). Raises
    InputError for a sheet that cannot be read, and for another number of cylinders or figures.
    """
    path = folder / file
    if places:
        return _column(path, places, unit, cylinders)
    try:
        table = read_readings(path, unit)
    except InputError as error:
        first = error.each[0] if isinstance(error, RefusalsError) else error
        if first.message.startswith("unknown column") and _figures(path) is not None:
            raise InputError(
                "a plain column does not say where each bore was read",
                file=str(path),
                field=_FIELD,
                allowed='--places "8 thrust, 8 pin, 40 thrust, ...", in the order of the column',
            ) from error
        raise
    at = table.columns["cylinder"]
    names = tuple(dict.fromkeys(cells[at] or "1" for _, cells in table.rows))
    if cylinders is not None and len(names) != cylinders:
        raise InputError(
            "the sheet has another number of cylinders",
            file=table.file,
            field="cylinder",
            found=shown(", ".join(names)),
            allowed=f"{cylinders} of them, or no --cylinders",
        )
    return Read(names, "dial" if "dial" in table.columns else "diameter", file)


def _figures(path: Path) -> list[tuple[int, str]] | None:
    """Return the figures of a file that is one column of them, with their rows; else None."""
    if path.suffix.lower() == ".xlsx":
        from fitsolver.reading.excel import read_sheet

        rows = list(read_sheet(path))
    else:
        numbered, separator = read_separated(path, lambda line: bool(line.strip()))
        rows = list(numbered)
        if separator == ",":  # a decimal comma looks as a second column
            rows = [(n, [",".join(cells)] if len(cells) == 2 else cells) for n, cells in rows]
    found: list[tuple[int, str]] = []
    for number, cells in rows:
        filled = [cell for cell in cells if cell]
        if len(filled) != 1:
            return None
        figure = filled[0].replace(",", ".")
        try:
            length_of(figure, "mm")
        except ValueError:
            if found:
                return None
            continue  # a title
        found.append((number, figure))
    return found or None


def _column(path: Path, places: str, unit: Unit, cylinders: int | None) -> Read:
    each = [_place(place, unit) for place in places.split(",")]
    figures = _figures(path)
    if figures is None:
        raise InputError(
            "this is no column of figures",
            file=str(path),
            field=_FIELD,
            allowed="one figure a row, titles above; or a sheet with headings, and no --places",
        )
    count = cylinders or max(1, len(figures) // len(each))
    if len(figures) != count * len(each):
        raise InputError(
            "the column has another number of figures than there are places",
            file=str(path),
            field=_FIELD,
            found=str(len(figures)),
            allowed=f"{len(each)} for each of {count} cylinders: {count * len(each)}",
        )
    kind = kind_of_figures(str(path), [length_of(figure, unit) for _, figure in figures])
    texts = iter(figure for _, figure in figures)
    rows = tuple(tuple((*place, next(texts)) for place in each) for _ in range(count))
    return Read(tuple(str(number + 1) for number in range(count)), kind, rows=rows)


def _place(text: str, unit: Unit) -> tuple[str, str]:
    """Return depth and axis of a place: `8 thrust`, `8 mm pin`."""
    depth, _, axis = text.strip().rpartition(" ")
    try:
        if length_of(depth.strip(), unit) < 0:
            raise ValueError("a depth cannot be negative")
        parse_axis(axis)
    except ValueError as error:
        raise InputError(
            f"this is no place ({error})",
            row="new job",
            field="places",
            found=shown(text),
            allowed='depth and axis, as "8 thrust, 8 pin"',
        ) from error
    return depth.strip(), axis
