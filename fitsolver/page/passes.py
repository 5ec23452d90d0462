"""One pass typed at the machine: added to the log, or shown again with its doubts."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple, TypedDict

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import exact_text
from fitsolver.doubts.refusal import DoubtedError
from fitsolver.honing.log import Log, LogText, append_entry, log_text, parse_log
from fitsolver.honing.log_line import entry_line
from fitsolver.page.drafts import ChangedError, Drafts
from fitsolver.page.entered import clean
from fitsolver.page.risk import RISK
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.doubts import Doubt
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import Answer, Plan
from fitsolver.records.readings import Reading
from fitsolver.usecases.honing import Hone

_MOST_READINGS: Final = 400


class Places(TypedDict):
    """The axes of the earlier readings, and for each depth the number of its field on each axis."""

    axes: list[str]
    rows: list[tuple[str, list[tuple[str, int | None]]]]


class Refused(NamedTuple):
    """A refused pass: the form as typed, and the reasons of the refusal.

    `taken` are its doubts that are already accepted; `field` is the next one to type in.
    """

    typed: Mapping[str, str] = {}
    taken: tuple[str, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    refusal: InputError | None = None
    field: str = "count"


def places(cylinder: Cylinder, job: Job) -> Places:
    """Return the depths and axes that were read before, each with its number in the form."""
    axes = list(dict.fromkeys(reading.axis for reading in cylinder.readings))
    numbers = {(r.depth, r.axis): place for place, r in enumerate(cylinder.readings)}
    depths = dict.fromkeys(reading.depth for reading in cylinder.readings)
    rows = [
        (exact_text(depth, job.unit), [(axis, numbers.get((depth, axis))) for axis in axes])
        for depth in depths
    ]
    return {"axes": axes, "rows": rows}


def known(log: LogText) -> str:
    """Return the mark of a log's state for a form, so that no pass is entered twice."""
    return hashlib.sha256(log.content).hexdigest()[:16]


class Told(NamedTuple):
    """One entry of the log as the page lists it."""

    cylinder: str
    passed: str
    stones: str
    warm: str
    readings: str


def told(log: Log, job: Job) -> list[Told]:
    """Return the entries of a log, the first one first."""
    return [
        Told(
            done.cylinder,
            f"{done.count} {done.counted_in}" if done.count else "read again",
            done.stones,
            "" if done.temperature is None else f"{done.temperature / 1000:g}",
            "; ".join(_reading(reading, job) for reading in done.readings),
        )
        for done in (entry.done for entry in log.entries)
    ]


def _reading(reading: Reading, job: Job) -> str:
    figure = reading.size if reading.dial is None else reading.dial
    return f"{exact_text(reading.depth, job.unit)} {reading.axis} {exact_text(figure, job.unit)}"


def last_stones(held: LogText, job: Job) -> str:
    """Return the stones of the last pass: the next pass mostly uses the same."""
    passes = [entry.done.stones for entry in parse_log(held, job).entries if entry.done.stones]
    return passes[-1] if passes else ""


def enter(
    drafts: Drafts,
    key: str,
    about: tuple[Job, Catalogue, Plan],
    form: Mapping[str, str],
    taken: tuple[str, ...] = (),
) -> Refused | None:
    """Add a pass to the log: it is on the disk when this returns. Returns what was refused.

    `taken` are the ids of doubts whose figures are taken as they are.

    Raises NoDraftError where the job was removed meanwhile.
    """
    fields = {name: text for name, text in form.items() if name != "taken"}
    line = entry_line(_cells(fields))
    with drafts.lock:
        drafts.read(key)
        held = log_text(drafts.log(key))
        if fields.get("after", known(held)) != known(held):
            error = ChangedError(
                "a pass was entered meanwhile, perhaps this one: look at the advice and the log "
                "before it is entered again"
            )
            return Refused(fields, taken, (), error)
        try:
            _, accepted = hone(about, held, taken).entered(line)
        except DoubtedError as error:
            return Refused(fields, taken, error.doubts, None, _field(error.doubts, fields))
        except InputError as error:
            return Refused(fields, taken, (), error, _field_named(error))
        append_entry(drafts.log(key), line, accepted)
    return None


def take(
    drafts: Drafts, key: str, about: tuple[Job, Catalogue, Plan], accept: Sequence[str]
) -> None:
    """Record in the log that doubts of earlier passes are accepted; InputError for other doubts."""
    with drafts.lock:
        drafts.read(key)
        held = log_text(drafts.log(key))
        append_entry(drafts.log(key), "", hone(about, held, accept).newly_accepted())


def hone(about: tuple[Job, Catalogue, Plan], held: LogText, accept: Sequence[str] = ()) -> Hone:
    """Return a job with its plan at the hone; it picks nothing anew."""
    job, catalogue, plan = about

    def refuse(_: Job) -> Answer:
        raise AssertionError("an entry picks nothing")

    return Hone(job, plan, catalogue, held, RISK, refuse, tuple(accept))


def _cells(fields: Mapping[str, str]) -> list[str]:
    """Return a form as the cells of one entry of the log."""
    cells = []
    for place in range(_MOST_READINGS):
        if figure := _figure(fields, f"r{place}"):
            cells.append(f"{fields.get(f'd{place}', '')} {fields.get(f'a{place}', '')} {figure}")
    count = _figure(fields, "count")
    if fields.get("counted_in") == "seconds" and count:
        count = f"{count} s"
    return [
        fields.get("cylinder", ""),
        count,
        fields.get("stones", ""),
        _figure(fields, "warm"),
        *cells,
    ]


def _figure(fields: Mapping[str, str], name: str) -> str:
    """Return a figure as it is stored: a decimal comma is a point, a minus sign a hyphen."""
    return clean("read.0.0.0", fields.get(name, ""))


def _field(doubts: Sequence[Doubt], fields: Mapping[str, str]) -> str:
    """Return the field of the first doubted figure."""
    for doubt in doubts:
        *_, depth, axis = ("", "", *doubt.id.split("/"))
        for place in range(_MOST_READINGS):
            if (fields.get(f"d{place}"), fields.get(f"a{place}")) == (depth, axis):
                return f"r{place}"
    return "count"


def _field_named(error: InputError) -> str:
    return "warm" if error.field == "temperature" else "count"
