"""What a look through a catalogue finds: its sizes, their gaps, and doubtful entries."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final, Literal, NamedTuple

from pydantic import Field

from fitsolver.base.lengths import Unit
from fitsolver.records.base import Count, Length, Record
from fitsolver.records.heading import Document

REVIEW_SCHEMA: Final = 1

Table = Literal["catalogue", "pistons", "rings", "gaskets", "kits", "routes"]
#: serious: cannot be right, or cannot be used as it stands; doubtful: look it up; note: good
#: to know.
Seriousness = Literal["serious", "doubtful", "note"]


class Counts(Record):
    """How many entries each table has."""

    pistons: Count
    rings: Count
    gaskets: Count
    kits: Count
    routes: Count


class SizeStep(Record):
    """One oversize with its pistons and the rings made for its bore.

    `step` is how far it lies above the size before it (None for the first), `skipped` the
    oversizes that the catalogue's regular step would have put between them.
    """

    oversize: Length
    nominal_bore: Length
    pistons: Count
    rings: Count
    step: Length | None = None
    skipped: tuple[Length, ...] = ()


class Doubt(Record):
    """One doubtful entry. `number` is the part number or route name, empty for the table."""

    table: Table
    number: str = ""
    field: str = ""
    sentence: str = Field(min_length=1)
    seriousness: Seriousness


_FIGURE: Final = re.compile(r"\d+(?:[.,]\d+)*")


def kind_of(doubt: Doubt) -> tuple[str, ...]:
    """Return what entries alike but for part numbers and figures have in common."""
    said = doubt.sentence.replace(doubt.number, "") if doubt.number else doubt.sentence
    return doubt.seriousness, doubt.table, doubt.field, _FIGURE.sub("0", said)


class Like(NamedTuple):
    """Doubtful entries alike but for part numbers and figures: the first, and how many."""

    first: Doubt
    number: int


def alike(doubts: Iterable[Doubt]) -> list[Like]:
    """Return entries of one kind as one, in the order of their firsts."""
    found: dict[tuple[str, ...], list[Doubt]] = {}
    for each in doubts:
        found.setdefault(kind_of(each), []).append(each)
    return [Like(each[0], len(each)) for each in found.values()]


class FamilySummary(Record):
    """One family of a catalogue of several: its pistons' sizes, skipped sizes, doubtful entries.

    `own_doubts` leaves out the kinds of entries that every family has: those are the whole list's.
    `note` says why it cannot be looked at: then the counts are 0.
    """

    family: str
    pistons: Count = 0
    kits: Count = 0
    in_stock: Count = 0
    sizes: Count = 0
    smallest_bore: Length | None = None
    largest_bore: Length | None = None
    skipped: Count = 0
    doubts: Count = 0
    own_doubts: Count = 0
    note: str = ""


class CatalogueReview(Document):
    """What `catalogue` answers: doubtful entries come most serious first.

    Of a catalogue of several families, where none is named, `family` is empty, `families` sums each
    up, and counts and doubtful entries are those of all of them, what is of several families once.
    """

    schema_version: int = REVIEW_SCHEMA
    catalogue: str
    family: str
    fingerprint: str = ""
    unit: Unit
    counts: Counts
    sizes: tuple[SizeStep, ...]
    doubtful: tuple[Doubt, ...] = ()
    families: tuple[FamilySummary, ...] = ()
    cautions: tuple[str, ...] = ()
