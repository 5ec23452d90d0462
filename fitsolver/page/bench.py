"""A job on the bench: what was typed, how far it can be understood, and what it still lacks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final, NamedTuple

import tomli_w

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import TICKS_PER, Unit
from fitsolver.choices.asked import missing
from fitsolver.doubts.job import doubts_of, is_accepted
from fitsolver.doubts.look import Look
from fitsolver.doubts.readings import doubtful_readings
from fitsolver.doubts.refusal import DoubtedError
from fitsolver.metrology.form import bore_form
from fitsolver.page import content
from fitsolver.page.content import Content
from fitsolver.page.doubted import field_of_doubt
from fitsolver.page.shelf import Shelf
from fitsolver.reading.blanks import blanks
from fitsolver.reading.job_file import job_of
from fitsolver.reading.owned import Owned
from fitsolver.reading.owners import with_family
from fitsolver.reading.quantities import length_of, parse_axis
from fitsolver.reading.toml_file import parse_toml
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.doubts import Doubt
from fitsolver.records.form import BoreForm
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.readings import PortBand, Reading, Zone
from fitsolver.usecases.loading import hold_together

FILE: Final = Path("job")  # what messages call it: there is no such file
#: Readings of a bore from which one of them can be held against the others.
_ENOUGH: Final = 4


class Lack(NamedTuple):
    """What is missing for the next step: the step where it is typed, in words, and its field."""

    step: str
    said: str
    field: str = ""


class Typed(NamedTuple):
    """Where a reading was typed: `field` is that of the form."""

    field: str
    typed: str
    unit: Unit
    file: str = ""
    row: str = ""


@dataclass(frozen=True)
class Bore:
    """A bore as far as it was read: its readings, and its form where some of them decide."""

    cylinder: Cylinder
    form: BoreForm | None


@dataclass(frozen=True)
class Bench:
    """A job understood as far as it goes.

    `laid` is its content over the sheet of its family. `marks` tell what is wrong with single
    fields; `doubts` are figures to be accepted or typed again, their `field` that of the form.
    `job` and `catalogue` are there when nothing is in the way.
    """

    laid: Mapping[str, object]
    unit: Unit | None
    marks: dict[str, str]
    doubts: tuple[Doubt, ...]
    lacks: tuple[Lack, ...]
    bores: tuple[Bore, ...]
    parts: Catalogue | None
    depths: Mapping[int, int]
    refusal: InputError | None = None
    job: Job | None = None
    catalogue: Catalogue | None = None


def content_of(text: str) -> Content:
    """Return the content of a job file's text; raises InputError where it is no TOML."""
    return parse_toml(text, FILE)


def text_of(data: Mapping[str, object]) -> str:
    """Return content as the text of a job file."""
    return tomli_w.dumps(dict(data))


def laid_over_sheet(data: Content, shelf: Shelf) -> Content:
    """Return a job's content as it is to be read, with the figures of its family's sheet.

    Raises InputError for a catalogue that is not known and a family that it has no sheet of.
    """
    chosen = data.get("catalogue")
    if chosen is None or chosen == "":
        raise InputError(
            "no catalogue is chosen", field="catalogue", allowed=", ".join(shelf.all())
        )
    folder = shelf.folder(str(chosen))
    return with_family(content.for_reading(data), FILE, folder)


def understood(data: Content, shelf: Shelf) -> tuple[Job, Catalogue]:
    """Return the job and catalogue that content says; raises InputError as a job file does."""
    job = job_of(laid_over_sheet(data, shelf), FILE, None)
    catalogue = shelf.get(str(job.catalogue), job.family)
    return job, hold_together(job, catalogue)


def on_the_bench(data: Content, shelf: Shelf) -> Bench:
    """Return what the content of a job comes to; nothing is raised for what is wrong in it."""
    refusal: InputError | None = None
    laid: Content = data
    parts: Catalogue | None = None
    with suppress(InputError):
        parts = shelf.get(str(data.get("catalogue", "")), content.shown(data.get("family")) or None)
    try:
        laid = laid_over_sheet(data, shelf)
    except InputError as error:
        refusal = error
    unit = next((known for known in TICKS_PER if known == data.get("units")), None)
    sheet = _Sheet(data, laid, unit)
    found = Bench(
        laid=laid,
        unit=unit,
        marks=sheet.marks,
        doubts=(),
        lacks=(*_lacks(data, sheet), *_blank_windows(laid)),
        bores=tuple(map(_bore, sheet.cylinders)),
        parts=parts,
        depths=sheet.depths,
        refusal=refusal,
    )
    return found if refusal is not None else _judged(found, sheet, parts)


def _judged(found: Bench, sheet: _Sheet, parts: Catalogue | None) -> Bench:
    """Return the same with its doubts, and the job where it is whole."""
    fields = {**found.__dict__}
    try:
        job = None if found.lacks else job_of(dict(found.laid), FILE, None)
    except InputError as error:
        fields["refusal"], job = error, None
    if job is None or parts is None:
        fields["doubts"] = tuple(_early_doubts(found, sheet, parts))
        return Bench(**fields)
    left = [
        doubt
        for doubt in doubts_of(Look(job, parts, "", sheet.origins))
        if not is_accepted(doubt, job.accept)
    ]
    fields["doubts"] = tuple(_plain(doubt, found.laid) for doubt in left)
    fields["lacks"] = (*found.lacks, *_lacking_windows(job, parts))
    if not left and not fields["lacks"]:
        try:
            fields["catalogue"], fields["job"] = hold_together(job, parts), job
        except DoubtedError as error:  # rows of the catalogue that the job names
            fields["doubts"] = tuple(_plain(doubt, found.laid) for doubt in error.doubts)
        except InputError as error:
            fields["refusal"] = error
    return Bench(**fields)


def _early_doubts(found: Bench, sheet: _Sheet, parts: Catalogue | None) -> Iterator[Doubt]:
    """Yield the doubts of readings while the job is not whole yet."""
    accepted = tuple(str(name) for name in _list(found.laid.get("accept")))
    bores = tuple(b.cylinder for b in found.bores if b.form and len(b.cylinder.readings) >= _ENOUGH)
    if bores and found.unit is not None:
        job = Job(name="job", unit=found.unit, cylinders=bores)
        for doubt in doubtful_readings(Look(job, parts, "", sheet.origins)):
            if not is_accepted(doubt, accepted):
                yield _plain(doubt, found.laid)


def _plain(doubt: Doubt, data: Mapping[str, object]) -> Doubt:
    """Return a doubt without the place in a file, with the field of the form that it is of."""
    sentence = doubt.sentence.removeprefix(", : ")
    field = doubt.field if doubt.field.startswith("read.") else field_of_doubt(doubt.id, data)
    return doubt.model_copy(update={"sentence": sentence, "field": field})


def _bore(cylinder: Cylinder) -> Bore:
    if cylinder.readings:
        with suppress(InputError):
            return Bore(cylinder, bore_form(cylinder, "by axis"))
    return Bore(cylinder, None)


def _lacks(data: Content, sheet: _Sheet) -> Iterator[Lack]:
    """Yield what a job still lacks that is typed on the first step, and its catalogue."""
    if not data.get("catalogue"):
        yield Lack("choose", "no catalogue is chosen yet", "catalogue")
    for index, (typed, cylinder) in enumerate(
        zip(content.tables(data, "cylinder"), sheet.cylinders, strict=True)
    ):
        name = cylinder.name
        if not cylinder.readings and not typed.get("finished_size"):
            yield Lack("measure", f"cylinder {name} has no readings", f"read.{index}.0.0")
        elif content.kind_of(typed) == "dial" and sheet.zeros[index] is None:
            yield Lack(
                "measure", f"cylinder {name}: where the gauge was zeroed", f"cylinder.{index}.zero"
            )


def _blank_windows(laid: Content) -> Iterator[Lack]:
    for blank in blanks(laid):
        yield Lack("choose", f"{blank.name}: lowest and highest, see {blank.sheet}", "window")


def _lacking_windows(job: Job, parts: Catalogue) -> Iterator[Lack]:
    for place in missing(job, parts):
        yield Lack("choose", f"{place.words}: a window, or left open", "window")


class _Sheet:
    """The readings of a job as they were typed, those that are figures as readings."""

    def __init__(self, data: Content, laid: Content, unit: Unit | None) -> None:
        self.marks: dict[str, str] = {}
        self.origins: dict[tuple[str, int, int], Typed] = {}
        self.cylinders: list[Cylinder] = []
        self.zeros: list[int | None] = []
        typed = content.tables(data, "cylinder")
        over = content.tables(laid, "cylinder")
        sheet = content.sheet_of(data)
        figures = {
            row: self._figure(f"depth.{row}", text, unit)
            for row, text in enumerate(sheet.depths)
            if text
        }
        self.depths = {row: depth for row, depth in figures.items() if depth is not None}
        for index, cylinder in enumerate(typed):
            whole = over[index] if len(over) == len(typed) else cylinder
            dial = content.kind_of(whole) == "dial"
            zero = _zero(whole, unit) if dial else 0
            self.zeros.append(zero)
            cells = {
                f"read.{index}.{r}.{a}": (r, sheet.axes[a], text)
                for (c, r, a), text in sheet.figures.items()
                if c == index
            }
            name = content.shown(cylinder.get("name")) or str(index + 1)
            readings = list(self._readings(name, cells, figures, zero, unit, dial=dial))
            zone, ports = _bands(laid, whole, unit)
            self.cylinders.append(
                Cylinder(name=name, material="-", zone=zone, ports=ports, readings=tuple(readings))
            )

    def _readings(
        self,
        name: str,
        cells: Mapping[str, tuple[int, str, str]],
        depths: Mapping[int, int | None],
        zero: int | None,
        unit: Unit | None,
        *,
        dial: bool,
    ) -> Iterator[Reading]:
        for field, (row, axis, text) in cells.items():
            figure = self._figure(field, text, unit)
            depth = depths.get(row)
            if row not in depths:
                self.marks[f"depth.{row}"] = "the depth of this row is missing"
            if figure is None or depth is None or zero is None or unit is None:
                continue
            with suppress(ValueError):
                reading = Reading(
                    depth=depth,
                    angle=parse_axis(axis),
                    size=zero + figure,
                    dial=figure if dial else None,
                )
                self.origins[name, depth, reading.angle] = Typed(field, text, unit)
                yield reading

    def _figure(self, field: str, text: str, unit: Unit | None) -> int | None:
        """Return a length in ticks; an invalid one is marked in its field, with the reason."""
        try:
            return None if unit is None else length_of(text, unit)
        except ValueError as error:
            self.marks[field] = str(error)
            return None


def _length(value: object, unit: Unit | None) -> int | None:
    """Return a length in ticks; None where the text is not a length."""
    try:
        return None if unit is None else length_of(value, unit)  # type: ignore[arg-type]
    except ValueError:
        return None


def _bands(
    laid: Mapping[str, object], cylinder: Mapping[str, object], unit: Unit | None
) -> tuple[Zone | None, tuple[PortBand, ...]]:
    """Return the zone and the ports of a cylinder as far as the job says them yet."""
    zones = content.tables({"zone": [cylinder.get("zone", laid.get("zone"))]}, "zone")
    zone = next((Zone(top=a, bottom=b) for _, a, b in _edges(zones, unit)), None)
    ports = content.tables({"port": cylinder.get("port", laid.get("port"))}, "port")
    if "port" not in cylinder and isinstance(laid, Owned) and "port" in laid.sources:
        unit = laid.sources["port"].unit
    return zone, tuple(
        PortBand(
            name=content.shown(port.get("name")) or "port",
            top=top,
            bottom=bottom,
            decides=port.get("decides") is True,
        )
        for port, top, bottom in _edges(ports, unit)
    )


def _edges(
    bands: Iterable[Mapping[str, object]], unit: Unit | None
) -> Iterator[tuple[Mapping[str, object], int, int]]:
    """Yield the bands that have both depths, from the top face down."""
    for band in bands:
        of = {e: s.unit for e, s in band.sources.items()} if isinstance(band, Owned) else {}
        top, bottom = (_length(band.get(e), of.get(e, unit)) for e in ("top", "bottom"))
        if top is not None and bottom is not None and 0 <= top <= bottom:
            yield band, top, bottom


def _zero(cylinder: Mapping[str, object], unit: Unit | None) -> int | None:
    """Return what the figures of a cylinder's dial add to; None where it is not known yet."""
    zero = cylinder.get("zero")
    if zero == "piston":
        zero = cylinder.get("zero_piston") or cylinder.get("piston_size")
    return _length(zero, unit) if zero else None


def _list(value: object) -> Sequence[object]:
    return value if isinstance(value, list) else ()
