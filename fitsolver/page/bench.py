"""A job on the bench: what was typed, what it reads to, and which fields are wrong."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

import tomli_w

from fitsolver.errors import InputError
from fitsolver.lengths import TICKS_PER, Unit, parse_length
from fitsolver.loading import hold_together
from fitsolver.page import form
from fitsolver.page.room import Room
from fitsolver.page.shelf import Shelf
from fitsolver.reading.job_file import job_of
from fitsolver.reading.plausible import implausible, meant
from fitsolver.reading.toml_file import parse_toml
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job

FILE: Final = Path("job")  # what messages call it: there is no such file


@dataclass(frozen=True)
class Bench:
    """A draft understood as far as it goes: a job, or the refusal that stands in its way.

    `marks` tell what is wrong with single fields of the form.
    """

    data: dict[str, Any]
    job: Job | None
    catalogue: Catalogue | None
    refusal: str = ""
    marks: dict[str, str] = field(default_factory=dict)


def content_of(text: str) -> dict[str, Any]:
    """Return the content of a job file's text; raises InputError where it is no TOML."""
    return parse_toml(text, FILE)


def text_of(data: Mapping[str, Any]) -> str:
    """Return content as the text of a job file."""
    return tomli_w.dumps(dict(data))


def on_the_bench(data: dict[str, Any], shelf: Shelf) -> Bench:
    """Return what the content of a job file comes to; nothing is raised for what is wrong in it."""
    marks = dict(_marks(data))
    try:
        job, catalogue = understood(data, shelf)
    except InputError as error:
        return Bench(data, None, None, str(error), marks)
    return Bench(data, job, catalogue, marks=marks)


def understood(data: Mapping[str, Any], shelf: Shelf) -> tuple[Job, Catalogue]:
    """Return the job and catalogue that content says; raises InputError as a job file does."""
    job = job_of(form.for_reading(data), FILE, None)
    if job.catalogue is None:
        raise InputError(
            "no catalogue is chosen", field="catalogue", allowed=", ".join(shelf.all())
        )
    catalogue = shelf.get(job.catalogue)
    return job, hold_together(job, catalogue)


def job_and_catalogue(room: Room, key: str) -> tuple[Job, Catalogue]:
    """Return the job and catalogue of a draft; raises InputError where it is no job yet."""
    return understood(content_of(room.drafts.read(key).text), room.shelf)


def _marks(data: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Yield fields of the grids that are no figure, or that their neighbours contradict."""
    unit = data.get("units")
    if unit not in TICKS_PER:
        return
    sizes: dict[str, list[int]] = {}
    cells: dict[str, list[form.Cell]] = {}
    for index, cylinder in enumerate(form.tables(data, "cylinder")):
        zero = _zero(cylinder, unit)
        key = str(index)
        sizes[key], cells[key] = [], []
        for row in form.grid(cylinder, index).rows:
            filled = [cell for cell in row.cells if cell.value]
            if filled and (why := _why_no_length(row.depth, unit)):
                yield row.field, why
            for cell in filled:
                if why := _why_no_length(cell.value, unit):
                    yield cell.field, why
                else:
                    sizes[key].append(zero + parse_length(cell.value, unit))
                    cells[key].append(cell)
    for odd in implausible(sizes):
        cell = cells[odd.cylinder][odd.position]
        said = "this reading lies far from the others"
        zero = _zero(form.tables(data, "cylinder")[int(odd.cylinder)], unit)
        if guess := meant(cell.value, odd.neighbours, unit, zero):
            said += f"; was {guess} meant?"
        yield cell.field, said


def _zero(cylinder: Mapping[str, Any], unit: Unit) -> int:
    """Return what the figures of a cylinder's dial add to (0 for diameters, or not known yet)."""
    if not form.reads_dial(cylinder):
        return 0
    zero = cylinder.get("zero")
    if zero == "piston":
        zero = cylinder.get("zero_piston") or cylinder.get("piston_size")
    try:
        return parse_length(zero, unit) if zero not in (None, "") else 0
    except ValueError:
        return 0


def _why_no_length(text: str, unit: Unit) -> str:
    try:
        parse_length(text, unit)
    except ValueError as error:
        return str(error)
    return ""
