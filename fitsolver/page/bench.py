"""A job on the bench: its typed content, the part already understood, and the missing fields."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Hashable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from threading import Lock
from typing import Final, NamedTuple

import tomli_w

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import TICKS_PER, Unit
from fitsolver.choices.asked import missing
from fitsolver.choices.binding import forms_to_read
from fitsolver.doubts.job import doubts_of, is_accepted
from fitsolver.doubts.look import Look
from fitsolver.doubts.readings import doubtful_readings
from fitsolver.doubts.refusal import DoubtedError
from fitsolver.metrology.form import bore_form
from fitsolver.page import content
from fitsolver.page.content import Content
from fitsolver.page.doubted import field_of_doubt
from fitsolver.page.sheet_typed import SheetTyped
from fitsolver.page.shelf import Shelf
from fitsolver.reading.blanks import blanks
from fitsolver.reading.job_file import job_of
from fitsolver.reading.owners import with_family
from fitsolver.reading.toml_edit import relaid
from fitsolver.reading.toml_file import parse_toml
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.doubts import Doubt
from fitsolver.records.form import BoreForm
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.words import FIT_WORDS
from fitsolver.usecases.loading import hold_together

FILE: Final = Path("job")  # what messages call it: there is no such file
#: Least number of readings of a bore that lets each be compared with the others.
_ENOUGH: Final = 4
#: Sizes of two caches: parsed jobs, and understood jobs.
_HELD: Final = 200
#: Texts that the page wrote last, with what they hold: they are not parsed again.
_own: Final[OrderedDict[str, Content]] = OrderedDict()
_lock: Final = Lock()


class Lack(NamedTuple):
    """A missing field for the next step: the step where it is typed, its words, and its path."""

    step: str
    said: str
    field: str = ""


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
    """Return the content of a job file's text, to be read only; raises InputError for no TOML."""
    own = _own.get(text)
    return _parsed(text) if own is None else own


@lru_cache(_HELD)
def _parsed(text: str) -> Content:
    return parse_toml(text, FILE)


def text_of(data: Mapping[str, object]) -> str:
    """Return content as the text of a job file."""
    return tomli_w.dumps(dict(data))


def text_like(text: str, data: Mapping[str, object]) -> str:
    """Return content as the text of a job file, as it was written in `text` where it says so.

    A text that the page itself wrote has no layout to keep. Raises InputError if `text` is not
    TOML.
    """
    if not _is_own(text) and (found := relaid(text, data)) is not None:
        return found
    new = text_of(data)
    with _lock:
        _own[new] = dict(data)
        while len(_own) > _HELD:
            _own.popitem(last=False)
    return new


def _is_own(text: str) -> bool:
    """Tell whether the page itself wrote a text."""
    return text in _own or text == text_of(content_of(text))


def laid_over_sheet(data: Content, shelf: Shelf) -> Content:
    """Return a job's content for reading, with the figures of its family's sheet.

    Raises InputError for a catalogue that is not known and a family that it has no sheet of.
    """
    chosen = data.get("catalogue")
    if chosen is None or chosen == "":
        raise InputError(
            "no catalogue is chosen", field="catalogue", allowed=", ".join(shelf.all())
        )
    sheets = shelf.sheets(str(chosen), content.shown(data.get("family")))
    return with_family(content.for_reading(data), FILE, sheets)


def understood(data: Content, shelf: Shelf) -> tuple[Job, Catalogue]:
    """Return the job and catalogue of content; raises InputError as a job file does."""
    job = job_of(laid_over_sheet(data, shelf), FILE, None)
    catalogue = shelf.get(str(job.catalogue), job.family)
    return job, hold_together(job, catalogue)


class Benches:
    """A cache of understood jobs by their text: a change that is saved and then asked about is
    parsed once.
    """

    def __init__(self, shelf: Shelf) -> None:
        self._shelf, self._lock = shelf, Lock()
        self._held: OrderedDict[tuple[str, Hashable], Bench] = OrderedDict()

    def of(self, text: str, stamps: dict[str, Hashable] | None = None) -> Bench:
        """Return the bench of a job's text; raises InputError if it is not TOML.

        `stamps` keeps the stamps of catalogues over the jobs of one list.
        """
        data = content_of(text)
        key, stamps = str(data.get("catalogue", "")), {} if stamps is None else stamps
        if key not in stamps:
            stamps[key] = self._shelf.stamp(key)
        question = text, stamps[key]
        found = self._held.get(question)
        if found is None:
            found = on_the_bench(data, self._shelf)
        with self._lock:
            self._held[question] = found
            self._held.move_to_end(question)
            while len(self._held) > _HELD:
                self._held.popitem(last=False)
        return found


def on_the_bench(data: Content, shelf: Shelf) -> Bench:
    """Return the bench of a job's content; errors in the content are marked, never raised."""
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
    sheet = SheetTyped(data, laid, unit)
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


def _judged(found: Bench, sheet: SheetTyped, parts: Catalogue | None) -> Bench:
    """Return the bench with its doubts, and with the job if it is complete."""
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
    fields["lacks"] = (*found.lacks, *_lacking_windows(job, parts), *_forms_to_read(job, parts))
    if not left and not fields["lacks"]:
        try:
            fields["catalogue"], fields["job"] = hold_together(job, parts, judged=True), job
        except DoubtedError as error:  # rows of the catalogue that the job names
            fields["doubts"] = tuple(_plain(doubt, found.laid) for doubt in error.doubts)
        except InputError as error:
            fields["refusal"] = error
    return Bench(**fields)


def _early_doubts(found: Bench, sheet: SheetTyped, parts: Catalogue | None) -> Iterator[Doubt]:
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


def _lacks(data: Content, sheet: SheetTyped) -> Iterator[Lack]:
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


def _forms_to_read(job: Job, parts: Catalogue) -> Iterator[Lack]:
    """Yield the limits on form that need more readings than there are so far."""
    for fit, needed in forms_to_read(job, parts):
        if any(cylinder.readings for cylinder in job.cylinders):
            yield Lack("measure", f"{FIT_WORDS[fit]}: read {needed}", "depth.1")


def _list(value: object) -> Sequence[object]:
    return value if isinstance(value, list) else ()
