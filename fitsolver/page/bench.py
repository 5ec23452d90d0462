"""A job on the bench: what was typed, what it reads to, and which fields are wrong."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

import tomli_w

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import TICKS_PER, Unit
from fitsolver.doubts.readings import Off, off
from fitsolver.page import form
from fitsolver.page.shelf import Shelf
from fitsolver.reading.job_file import job_of
from fitsolver.reading.plausible import meant
from fitsolver.reading.quantities import length_of, parse_axis
from fitsolver.reading.toml_file import parse_toml
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.readings import PortBand, Reading, Zone, decides
from fitsolver.usecases.loading import hold_together

FILE: Final = Path("job")  # what messages call it: there is no such file


@dataclass(frozen=True)
class Bench:
    """A draft understood as far as it goes: a job, or the refusal that stands in its way.

    `marks` tell what is wrong with single fields of the form.
    """

    data: form.Content
    job: Job | None
    catalogue: Catalogue | None
    refusal: str = ""
    marks: dict[str, str] = field(default_factory=dict)


def content_of(text: str) -> form.Content:
    """Return the content of a job file's text; raises InputError where it is no TOML."""
    return parse_toml(text, FILE)


def text_of(data: Mapping[str, object]) -> str:
    """Return content as the text of a job file."""
    return tomli_w.dumps(dict(data))


def on_the_bench(data: form.Content, shelf: Shelf) -> Bench:
    """Return what the content of a job file comes to; nothing is raised for what is wrong in it."""
    marks = dict(_marks(data))
    try:
        job, catalogue = understood(data, shelf)
    except InputError as error:
        return Bench(data, None, None, str(error), marks)
    return Bench(data, job, catalogue, marks=marks)


def understood(data: Mapping[str, object], shelf: Shelf) -> tuple[Job, Catalogue]:
    """Return the job and catalogue that content says; raises InputError as a job file does."""
    job = job_of(form.for_reading(data), FILE, None)
    if job.catalogue is None:
        raise InputError(
            "no catalogue is chosen", field="catalogue", allowed=", ".join(shelf.all())
        )
    catalogue = shelf.get(job.catalogue)
    return job, hold_together(job, catalogue)


def _marks(data: form.Content) -> Iterator[tuple[str, str]]:
    """Yield fields of the grids that are no figure, or that their neighbours contradict."""
    unit = next((known for known in TICKS_PER if known == data.get("units")), None)
    if unit is None:
        return
    for index, cylinder in enumerate(form.tables(data, "cylinder")):
        zero = _zero(cylinder, unit)
        cells: dict[tuple[int, int], form.Cell] = {}
        readings: list[Reading] = []
        for row in form.grid(cylinder, index).rows:
            filled = [cell for cell in row.cells if cell.value]
            depth = _length(row.depth, unit) if filled else 0
            if isinstance(depth, str):
                yield row.field, depth
            for cell in filled:
                figure = _length(cell.value, unit)
                if isinstance(figure, str):
                    yield cell.field, figure
                elif not isinstance(depth, str) and (
                    reading := _reading(depth, cell.axis, zero + figure)
                ):
                    readings.append(reading)
                    cells[reading.depth, reading.angle] = cell
        zone, ports = _bands(data, cylinder, unit)
        for one in off([r for r in readings if decides(r.depth, zone, ports)]):
            cell = cells[one.reading.depth, one.reading.angle]
            yield cell.field, _far(cell, one, unit, zero)


def _length(value: object, unit: Unit) -> int | str:
    """Return a length in ticks, or why it is none."""
    try:
        return length_of(value, unit)  # type: ignore[arg-type]  # refuses what is no figure
    except ValueError as error:
        return str(error)


def _reading(depth: int, axis: str, size: int) -> Reading | None:
    """Return the reading of a field of the grid; None where it cannot be one."""
    try:
        return Reading(depth=depth, angle=parse_axis(axis), size=size)
    except ValueError:
        return None


def _bands(
    data: Mapping[str, object], cylinder: Mapping[str, object], unit: Unit
) -> tuple[Zone | None, tuple[PortBand, ...]]:
    """Return the zone and the ports of a cylinder as far as the job says them yet."""
    zones = form.tables({"zone": [cylinder.get("zone", data.get("zone"))]}, "zone")
    zone = next((Zone(top=a, bottom=b) for a, b in _edges(zones, unit)), None)
    ports = [port for port in form.tables({**data, **cylinder}, "port") if not port.get("decides")]
    return zone, tuple(PortBand(top=a, bottom=b) for a, b in _edges(ports, unit))


def _edges(bands: Iterable[Mapping[str, object]], unit: Unit) -> Iterator[tuple[int, int]]:
    """Yield the depths of bands that have both: top and bottom, from the top face down."""
    for band in bands:
        top, bottom = (_length(band.get(edge), unit) for edge in ("top", "bottom"))
        if isinstance(top, int) and isinstance(bottom, int) and top >= 0:
            yield top, bottom


def _far(cell: form.Cell, one: Off, unit: Unit, zero: int) -> str:
    said = "this reading lies far from what the others of its bore say"
    near = max(3 * round(one.expected.deviation), 1_000)
    guess = meant(cell.value, round(one.expected.expected), unit, zero, within=near)
    return said + (f"; was {guess} meant?" if guess else "")


def _zero(cylinder: Mapping[str, object], unit: Unit) -> int:
    """Return what the figures of a cylinder's dial add to (0 for diameters, or not known yet)."""
    if not form.reads_dial(cylinder):
        return 0
    zero = cylinder.get("zero")
    if zero == "piston":
        zero = cylinder.get("zero_piston") or cylinder.get("piston_size")
    found = _length(zero, unit)
    return found if isinstance(found, int) else 0
