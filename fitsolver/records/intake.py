"""A price or stock list taken into a catalogue: what was understood, what was not, what changed."""

from __future__ import annotations

from typing import Final, Literal

from pydantic import Field

from fitsolver.base.lengths import Unit
from fitsolver.records.base import Count, Days, Length, Money, Record
from fitsolver.records.heading import Document

INTAKE_SCHEMA: Final = 2

ArticleKind = Literal["piston kit", "piston", "rings", "gasket", "pin", "circlip"]


class Article(Record):
    """A row of a list as understood. Sizes in ticks; `row` counts in its sheet from 1.

    `nominal_bore` is the bore it is made for; None for an article without one (a gasket).
    """

    number: str = Field(min_length=1)
    kind: ArticleKind
    family: str
    description: str = ""
    nominal_bore: Length | None = None
    oversize: Length | None = None
    grade: str = ""
    place: str = ""
    thickness: Length | None = None
    price: Money | None = None
    stock: Count = 0
    lead_days: Days | None = None
    sheet: str = ""
    row: Count = 0


class Unclear(Record):
    """A row that is not taken in: where it stands, what it says, and why not."""

    sheet: str
    row: Count
    number: str
    description: str
    field: str
    reason: str


class ColumnRead(Record):
    """Which column of a list is read as what, and how sure that is (0 to 1)."""

    role: str
    heading: str
    sure: float = Field(ge=0, le=1)


class Changed(Record):
    """An article whose price or stock is another than in the list before."""

    number: str
    field: Literal["price", "stock", "lead_days"]
    before: int | None
    now: int | None


class Asked(Record):
    """A question that the list leaves open, what is proposed, and how it is answered.

    `key` names it (`column price`, `kind dugattyu`, `currency`); `option` answers it on the
    command line, `line` in the mapping file. `proposed` is '' where nothing is; `sure` from 0
    to 1. Nothing is taken in before what is `needed` is answered.
    """

    key: str
    question: str
    option: str
    line: str
    proposed: str = ""
    sure: float = Field(default=0, ge=0, le=1)
    needed: bool = True


class IntakeAnswer(Document):
    """What a list comes to. `taken_in` False: only looked at, nothing was written."""

    schema_version: int = INTAKE_SCHEMA
    file: str
    folder: str
    unit: Unit
    currency: str
    taken_in: bool
    known_layout: bool
    columns: tuple[ColumnRead, ...]
    unread: tuple[str, ...] = ()
    patterns: tuple[str, ...]
    asked: tuple[Asked, ...] = ()
    rows: Count
    articles: tuple[Article, ...]
    unclear: tuple[Unclear, ...]
    new: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()
    changed: tuple[Changed, ...] = ()
    cautions: tuple[str, ...] = ()
