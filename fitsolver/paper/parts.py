"""What a sheet is made of: texts and tables, ready to be set; no figure is worked out later."""

from __future__ import annotations

from typing import Final, Literal, NamedTuple

#: What a column holds: a figure (right), a word (left, never broken), text, or a field to write in.
Kind = Literal["figure", "word", "text", "blank", "narrow blank"]
Pairs = tuple[tuple[str, str], ...]
#: A cell that is left for the pen.
BLANK: Final = ""


class Column(NamedTuple):
    name: str
    kind: Kind = "figure"


class Table(NamedTuple):
    """A table with its caption and the lines under it."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...] = ()


class Section(NamedTuple):
    """A heading with a list under it."""

    heading: str
    lines: tuple[str, ...]


class CylinderSheet(NamedTuple):
    """The pages of one cylinder; `profile` is inline SVG."""

    name: str
    to_do: Pairs
    stages: tuple[Table, ...]
    profile: str
    filing: Table | None
    bore: Table | None
    checks: Table


class Sheet(NamedTuple):
    """A whole sheet. `marks` are what ties it to its files; `mark` the same in one line."""

    title: str
    note: str
    made_on: str
    status: str
    headlines: tuple[str, ...]
    facts: Pairs
    order: Table | None
    totals: Pairs
    cylinders: tuple[CylinderSheet, ...]
    reasons: tuple[Section, ...]
    profiles: str
    cautions: tuple[str, ...]
    marks: Pairs
    mark: str
