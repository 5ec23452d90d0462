"""What screening a table of bores came to."""

from __future__ import annotations

from typing import Final, Literal

from fitsolver.base.lengths import Unit
from fitsolver.records.base import Count, Record
from fitsolver.records.heading import Document
from fitsolver.records.job import Finishing

SCREENING_SCHEMA: Final = 1


class Share(Record):
    """How many bores of the table got a part number, or a route."""

    name: str
    bores: Count


class FaultyRow(Record):
    """The first row that could not be screened: rows count from 1 under the header."""

    row: int
    field: str
    found: str
    reason: str


class ScreenAnswer(Document):
    """How many bores of a table fit, and what they take.

    `table`, `out` and `bad_rows` are files; the rows are in `out`. `like` names the job whose
    windows hold; `not_asked` are the fits without one. `pistons` and `routes` come with the most
    taken first.
    """

    schema_version: int = SCREENING_SCHEMA
    table: str
    like: str
    catalogue: str
    unit: Unit
    finishing: Finishing
    status: Literal["screened", "bad rows"]
    not_asked: tuple[str, ...] = ()
    rows: Count
    fits: Count
    nothing_fits: Count
    bad: Count
    first_bad: FaultyRow | None
    pistons: tuple[Share, ...]
    routes: tuple[Share, ...]
    out: str | None
    bad_rows: str | None
    cautions: tuple[str, ...] = ()
