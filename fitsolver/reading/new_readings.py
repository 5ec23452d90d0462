"""The readings a new job starts with: a sheet of any layout, a plain column, or typed figures."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.reading.hints import shown
from fitsolver.reading.new_sheet import (
    FIELD,
    Said,
    check_unit,
    rows_of,
    sheet_table,
    typed_rows,
    with_unit,
)
from fitsolver.reading.quantities import length_of, parse_axis
from fitsolver.reading.reading_words import axis_named
from fitsolver.reading.readings_grid import NumberedRow
from fitsolver.reading.readings_sheet import ReadAs, kind_of_figures
from fitsolver.reading.sheet_words import reworded
from fitsolver.reading.unanswered import UnansweredError

#: A figure that was not read, where figures are typed place by place.
NOT_READ: Final = "."
_PLACES: Final = "8 thrust, 8 pin, 40 thrust, ..."

Rows = tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class Read:
    """Readings of a new job: its cylinders, and the sheet, or rows of depth, axis and figure.

    `stated`: the job has to say of a sheet what its figures are. `axes` are words of the sheet that
    were read as `thrust` or `pin`.
    """

    names: tuple[str, ...]
    kind: ReadAs
    file: str = ""
    rows: tuple[Rows, ...] = ()
    stated: bool = False
    axes: tuple[tuple[str, str], ...] = ()


def read_for_new(
    folder: Path, file: str, places: str, unit: Unit, cylinders: int | None, said: Said
) -> Read:
    """Return the readings in a file that the new job in a folder names.

    `places` say where each bore was read, in the order of a plain column: `8 thrust, 8 pin`; ""
    of a sheet that says so itself. `cylinders` is how many there must be (None: any). Raises
    UnansweredError for what the sheet leaves open, InputError for one that cannot be read, and for
    another number of cylinders or figures.
    """
    path = folder / file
    rows, separator = rows_of(path, said.sheet)
    figures = _figures(rows, separator)
    if places or figures is not None:
        return _column(str(path), figures, places, unit, cylinders, said)
    table = sheet_table(path, rows, separator, said, unit)
    typed = typed_rows(table, said, unit)
    names = tuple(typed)
    if cylinders is not None and len(names) != cylinders:
        raise InputError(
            "the sheet has another number of cylinders",
            file=table.file,
            field="cylinder",
            found=shown(", ".join(names)),
            allowed=f"{cylinders} of them, or no --cylinders",
        )
    kind: ReadAs = "dial" if "dial" in table.columns else "diameter"
    axes = _axes_read(rows, said)
    if said.reads_otherwise:
        return Read(names, kind, rows=tuple(map(tuple, typed.values())), axes=axes)
    return Read(names, kind, file, stated=bool(said.read_as), axes=axes)


def _axes_read(rows: Sequence[NumberedRow], said: Said) -> tuple[tuple[str, str], ...]:
    """Return each word of a sheet that means an axis in another language, with that axis."""
    cells = {cell for _, row in reworded(rows, said.words) for cell in row}
    words = {word.lower(): word for cell in cells for word in re.findall(r"[^\W\d_]+", cell)}
    found = [(word, means) for word in words.values() if (means := axis_named(word))]
    return tuple(sorted(found, key=lambda one: (one[1], one[0]), reverse=True))


def _figures(rows: Sequence[NumberedRow], separator: str) -> list[str] | None:
    """Return the figures of rows that are one column of them; else None."""
    if separator == ",":  # a decimal comma looks as a second column
        rows = [(n, [",".join(cells)] if len(cells) == 2 else cells) for n, cells in rows]
    found: list[str] = []
    for _, cells in rows:
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
        found.append(figure)
    return found or None


def _column(
    file: str,
    figures: list[str] | None,
    places: str,
    unit: Unit,
    cylinders: int | None,
    said: Said,
) -> Read:
    if figures is None:
        raise InputError(
            "this is no column of figures",
            file=file,
            field=FIELD,
            allowed="one figure a row, titles above; or a sheet with headings, and no --places",
        )
    if not places:
        raise UnansweredError(
            "a plain column does not say where each bore was read",
            answers="places",
            question=f"Where was each bore read, in the order of the column? ({_PLACES})",
            file=file,
            field=FIELD,
            found=f"{len(figures)} figures",
            allowed=f'--places "{_PLACES}", in the order of the column',
        )
    each = places_of(places, unit)
    count = cylinders or max(1, len(figures) // len(each))
    if len(figures) != count * len(each):
        raise InputError(
            "the column has another number of figures than there are places",
            file=file,
            field=FIELD,
            found=str(len(figures)),
            allowed=f"{len(each)} for each of {cylinders} cylinders: {cylinders * len(each)}"
            if cylinders
            else f"{len(each)} for each cylinder, as {count * len(each)} or "
            f"{(count + 1) * len(each)}",
        )
    return typed_readings(file, figures, each, unit, said)


def typed_readings(
    file: str, figures: Sequence[str], each: Sequence[tuple[str, str]], unit: Unit, said: Said
) -> Read:
    """Return readings of figures in the order of their places, bore after bore.

    A figure that is `NOT_READ` is left out. Raises UnansweredError where it is not sure whether
    they are diameters or dial deviations.
    """
    own, read = said.unit_of(unit), [figure for figure in figures if figure != NOT_READ]
    kind = kind_of_figures(file, [length_of(figure, own) for figure in read], said.kind)
    check_unit(file, read, kind, said, unit)
    texts = iter(f if f == NOT_READ else with_unit(f, own, unit) for f in figures)
    count = len(figures) // len(each)
    rows = [[(*place, next(texts)) for place in each] for _ in range(count)]
    return Read(
        tuple(str(number + 1) for number in range(count)),
        kind,
        rows=tuple(tuple(row for row in bore if row[2] != NOT_READ) for bore in rows),
    )


def places_of(text: str, unit: Unit) -> list[tuple[str, str]]:
    """Return depth and axis of each place in a list of them: `8 thrust, 8 mm pin`."""
    return [_place(place, unit) for place in text.split(",")]


def _place(text: str, unit: Unit) -> tuple[str, str]:
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
            found=shown(text.strip()),
            allowed='depth and axis, as "8 thrust, 8 pin"',
        ) from error
    return depth.strip(), axis
