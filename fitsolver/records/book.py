"""The book: what was read, planned, fitted, honed and checked of every cylinder, year by year."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Final, Literal

from pydantic import AfterValidator, Field

from fitsolver.base.lengths import Unit
from fitsolver.records.base import Count, Length, Record
from fitsolver.records.heading import Document
from fitsolver.records.wear import WearEstimate

HISTORY_SCHEMA: Final = 1
FOUND_SCHEMA: Final = 1

BookKind = Literal["job", "fitted", "pass", "final", "withdrawal"]
#: How the size that a visit left is known.
LeftBy = Literal["final check", "last pass", "not cut", ""]

_LONGEST_MARKING: Final = 80
#: Largest whole number that a column holds, and that any JSON reader keeps exactly.
_MOST: Final = 2**53 - 1


def _marking(text: str) -> str:
    """Refuse a marking that cannot be typed again as it looks."""
    if not text or text != text.strip() or not text.isprintable() or len(text) > _LONGEST_MARKING:
        raise ValueError(
            f"a marking has 1 to {_LONGEST_MARKING} letters and signs, no blank at its ends"
        )
    return text


Marking = Annotated[str, AfterValidator(_marking)]
Key = Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
Size = Annotated[int, Field(gt=0, le=_MOST, description="ticks of 10 nm; 100000 = 1 mm")]


class FittedParts(Record):
    """The parts that went into one cylinder. `skirt` is the piston's size as measured (ticks).

    `rings` are part numbers by groove from the top, `gaskets` all that were stacked.
    """

    piston: str = ""
    skirt: Size | None = None
    rings: tuple[str, ...] = ()
    gaskets: tuple[str, ...] = ()
    note: str = ""


class BookLine(Record):
    """What one entry says of one cylinder; sizes at 20 °C (ticks).

    `name` is what the job calls it. `smallest`, `largest` are local sizes as read, `uncertainty`
    the standard uncertainty of one of them, where the job says how it was measured. Of a job
    with a plan `bore_low`, `bore_high` bound the local sizes to come.
    """

    marking: Marking
    name: str = ""
    family: str | None = None
    material: str = ""
    smallest: Size | None = None
    largest: Size | None = None
    uncertainty: float | None = Field(default=None, ge=0, allow_inf_nan=False)
    parts: FittedParts | None = None
    route: str = ""
    machined: bool | None = None
    bore_low: Size | None = None
    bore_high: Size | None = None
    passes: bool | None = Field(default=None, description="the final check passes")
    count: Count | None = Field(default=None, description="strokes or seconds of a pass")


class BookEntry(Record):
    """One entry of the book. It is never changed; one that is wrong is withdrawn by another.

    `key` is taken from all the rest, so equal entries have equal keys. `job` is the key of the job
    that it belongs to, `number` counts the passes of a cylinder in that job. `documents` are the
    project's own JSON documents as they were written.
    """

    key: Key
    kind: BookKind
    date: dt.date
    title: str = Field(default="", description="name of the job")
    unit: Unit = "mm"
    job: Key | None = None
    number: int | None = Field(default=None, ge=1, le=1_000_000)
    withdraws: Key | None = None
    lines: tuple[BookLine, ...] = ()
    documents: dict[str, dict[str, Any]]
    program_version: str


class Kept(Record):
    """An entry that is now in the book; not `new` where it was there before."""

    entry: BookEntry
    new: bool


class Imported(Record):
    """What an import did: entries added, entries that the book had already, damaged ones mended."""

    added: Count
    known: Count
    mended: Count = 0


class DamagedEntry(Record):
    """An entry that is not what its key says, or whose index is not what it says."""

    key: str = Field(description="as far as it can be shown")
    why: str


class BookCheck(Record):
    """A whole book looked through: whole entries, damaged ones, what is wrong in the file."""

    program_version: str
    book: str
    whole: Count
    damaged: tuple[DamagedEntry, ...] = ()
    file: tuple[str, ...] = ()

    @property
    def sound(self) -> bool:
        """Whether nothing is wrong."""
        return not (self.damaged or self.file)


class Visit(Record):
    """One time that a cylinder was worked on; sizes at 20 °C (ticks).

    `found_*` are as it came in, `planned_*` what the plan said of the bore afterwards, `left_*`
    as it went out and `left_by` how that is known. `wear` is the largest size found less the
    largest that the last visit left (None: not known), `wear_uncertainty` its standard
    uncertainty, where both jobs say how they were measured.
    """

    date: dt.date
    key: Key = Field(description="of the job, or of the entry that stands without one")
    title: str = ""
    found_smallest: Length | None = None
    found_largest: Length | None = None
    found_uncertainty: float | None = None
    route: str = ""
    planned_low: Length | None = None
    planned_high: Length | None = None
    parts: FittedParts | None = None
    parts_as: Literal["fitted", "checked", "planned", ""] = ""
    passes: Count = 0
    left_smallest: Length | None = None
    left_largest: Length | None = None
    left_uncertainty: float | None = None
    left_by: LeftBy = ""
    left_on: dt.date | None = None
    holds: bool | None = Field(default=None, description="the final check passes")
    wear: Length | None = None
    wear_uncertainty: float | None = None


class HistoryAnswer(Document):
    """All that the book knows of one cylinder, oldest first."""

    schema_version: int = HISTORY_SCHEMA
    marking: str
    family: str | None
    material: str
    unit: Unit
    visits: tuple[Visit, ...]
    wear: WearEstimate | None = None
    cautions: tuple[str, ...] = ()


class FoundLine(Record):
    """One cylinder of one entry that a search found."""

    key: Key
    kind: BookKind
    date: dt.date
    title: str
    line: BookLine


class FoundAnswer(Document):
    """What a search of the book found, newest first."""

    schema_version: int = FOUND_SCHEMA
    unit: Unit
    asked: str
    lines: tuple[FoundLine, ...]
    cautions: tuple[str, ...] = ()
