"""Measured bores, measured pieces, and how they were paired."""

from __future__ import annotations

from typing import Annotated, Final, Literal

from pydantic import Field

from fitsolver.base.lengths import LONGEST, Unit
from fitsolver.records.base import Count, Length, Range, Record
from fitsolver.records.heading import Document

PAIRING_SCHEMA: Final = 1

#: A deviation of a clearance from the middle of the window.
Deviation = Annotated[int, Field(description="half ticks of 5 nm; 200000 = 1 mm")]
PairStatus = Literal["all bores served", "bores left over", "best found"]


class MeasuredBore(Record):
    """A bore of a table: its name, its size, its grade where pieces have one; `row` of the file."""

    name: str = Field(min_length=1, max_length=200)
    size: Annotated[Length, Field(le=LONGEST)]
    grade: str = Field(default="", max_length=200)
    row: Count = 0


class MeasuredPiece(Record):
    """A piece of a table: its part number, its own mark, its size and grade."""

    number: str = Field(min_length=1, max_length=200)
    piece: str = Field(default="", max_length=200)
    size: Annotated[Length, Field(le=LONGEST)]
    grade: str = Field(default="", max_length=200)
    row: Count = 0


class MadePair(Record):
    """A bore with its piece; `off_middle` is the clearance less the middle of the window."""

    bore: MeasuredBore
    piece: MeasuredPiece
    clearance: Length
    off_middle: Deviation


class PairShortage(Record):
    """Bores that take only these pieces and are more (`of` pieces), or the other way about.

    `takers` of them, sized `sizes`, take what lies in `takes`; of that there are `there`, so
    `left_over` of the takers stay without in any pairing.
    """

    of: Literal["pieces", "bores"]
    grade: str = ""
    takers: Count
    sizes: Range
    takes: Range
    there: Count
    left_over: Count
    sentence: str


class NotPaired(Record):
    """A bore or a piece that is left over, with the number of its shortage, counted from 0."""

    bore: MeasuredBore | None = None
    piece: MeasuredPiece | None = None
    shortage: Count


class PairAnswer(Document):
    """The best pairing of two tables.

    `largest_deviation` and `sum_of_deviations` are from the middle of `window`; their bounds are
    proven, and equal to them unless the time ended. Where `listed` is false the tables are too
    long: pairs and what is left over stand in the table `out` only, and of the shortages the
    hundred that leave most over.
    """

    schema_version: int = PAIRING_SCHEMA
    bores: str
    pieces: str
    like: str | None = None
    unit: Unit
    window: Range
    status: PairStatus
    bore_count: Count
    piece_count: Count
    paired: Count
    largest_deviation: Deviation
    largest_deviation_bound: Deviation
    sum_of_deviations: Deviation
    sum_of_deviations_bound: Deviation
    listed: bool
    pairs: tuple[MadePair, ...] = ()
    left_over: tuple[NotPaired, ...] = ()
    shortages: tuple[PairShortage, ...] = ()
    out: str | None = None
    cautions: tuple[str, ...] = ()

    @property
    def proven(self) -> bool:
        """Whether no other pairing is better."""
        return self.status != "best found"
