"""One line of a log of passes: read, and written."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from typing import Final, NamedTuple

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import parse_length
from fitsolver.reading.hints import shown, unknown
from fitsolver.reading.measuring_figures import parse_temperature
from fitsolver.reading.quantities import parse_axis, parse_count
from fitsolver.records.hone import CountedIn, HonePass
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.measuring import WARMEST_PART
from fitsolver.records.readings import Reading

_FIELDS: Final = "cylinder, strokes, stones, temperature, then 'depth axis figure' for each reading"


#: A reading that differs from the job's by more than its size over this is of another bore.
_FAR: Final = 10


def parse_entry(text: str, job: Job, *, file: str = "", line: int = 0) -> HonePass:
    """Return the pass that one line of a log tells of; InputError with what is wrong."""
    where = Where(file, line)
    if text.startswith("#") or not text.replace("\t", " ").isprintable():
        raise where.refused("", "a comment, or more than one line, is no entry", text, _FIELDS)
    try:
        rows = list(csv.reader([text], skipinitialspace=True, strict=True))
    except csv.Error as error:
        raise where.refused("", f"this is no entry ({error})", text) from error
    cells = [cell.strip() for cell in rows[0]] if rows else []
    if len(cells) < 2:
        raise where.refused("", "this is no entry", text, _FIELDS)
    cells += [""] * (4 - len(cells))
    name, passes, stones, warmth, *readings = cells
    cylinder = _cylinder(where, job, name)
    count, counted_in = _count(where, passes)
    temperature = None
    if warmth:
        try:
            temperature = parse_temperature(warmth, WARMEST_PART // 1000)
        except ValueError as error:
            raise where.refused("temperature", str(error), warmth, "degrees C") from error
    found = tuple(_reading(where, job, cylinder, cell) for cell in readings if cell)
    places = [(reading.depth, reading.angle) for reading in found]
    if len(set(places)) != len(places):
        raise where.refused("readings", "one place is read twice in this entry", text)
    if not count and not found:
        raise where.refused("strokes", "an entry has strokes, readings or both", passes)
    return HonePass(
        cylinder=name,
        count=count,
        counted_in=counted_in,
        stones=stones,
        temperature=temperature,
        readings=found,
    )


def entry_line(cells: Sequence[str]) -> str:
    """Return cells (cylinder, strokes, stones, temperature, readings...) as one line of a log."""
    return ", ".join(f'"{c.replace(chr(34), chr(34) * 2)}"' if _quoted(c) else c for c in cells)


def _quoted(cell: str) -> bool:
    return any(mark in cell for mark in ',"') or cell.startswith("#")


class Where(NamedTuple):
    file: str
    line: int

    def refused(self, field: str, message: str, found: object, allowed: str = "") -> InputError:
        return _refused(self.file, self.line, field, message, found, allowed)


def _refused(
    file: str, line: int, field: str, message: str, found: object, allowed: str = ""
) -> InputError:
    return InputError(
        message,
        file=file if line else "",
        row=line or None,
        field=field,
        found=shown(found),
        allowed=allowed,
    )


def _cylinder(where: Where, job: Job, name: str) -> Cylinder:
    found = next((item for item in job.cylinders if item.name == name), None)
    if found is None:
        names = [item.name for item in job.cylinders]
        row = where.line or None
        raise unknown("cylinder", name, names, file=where.file, row=row, field="cylinder")
    return found


def _count(where: Where, text: str) -> tuple[int, CountedIn]:
    seconds = text.endswith("s")
    try:
        count = parse_count(text.removesuffix("s").strip() or "0") if text else 0
    except ValueError as error:
        raise where.refused(
            "strokes", str(error), text, "a whole number from 0, or seconds as '35 s'"
        ) from error
    return count, "seconds" if seconds else "strokes"


def _reading(where: Where, job: Job, cylinder: Cylinder, cell: str) -> Reading:
    words = cell.split(maxsplit=2)
    if len(words) != 3:
        raise where.refused(
            "readings",
            "a reading has three values",
            cell,
            "depth axis figure, as '10 thrust 62.31'",
        )
    try:
        depth, angle = parse_length(words[0], job.unit), parse_axis(words[1])
        figure = parse_length(words[2], job.unit)
    except ValueError as error:
        raise where.refused("readings", str(error), cell) from error
    known = cylinder.readings[0]
    dial = figure if known.dial is not None and cylinder.zero is not None else None
    size = figure if dial is None or cylinder.zero is None else cylinder.zero.size + dial
    if depth < 0 or abs(size - known.size) * _FAR > known.size:
        kind = "a diameter" if dial is None else "a dial deviation"
        raise where.refused(
            "readings",
            "this is no reading of this bore",
            cell,
            f"a depth from 0, and {kind} as in the job",
        )
    return Reading(depth=depth, angle=angle, size=size, dial=dial)
