"""The elements of a sheet: texts and tables, ready to be set; no figure is computed later."""

from __future__ import annotations

from typing import Final, Literal, NamedTuple

#: The kinds of columns: a figure (right), a word (left, never broken), text, or a field to write
#: in.
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


class Stop(NamedTuple):
    """The stop of one stage: its size, the dial readings there, and the permitted range."""

    stage: str
    size: str
    dials: Pairs
    permitted: str


class Finish(NamedTuple):
    """A row of the table of work: one end of a piston's tolerance, or all of it.

    `first` stands before its stops: the work permitted ahead, or that nothing is cut. `permitted`
    are pairs of a label (empty for the size) and a range that holds everywhere.
    """

    which: str
    parts: tuple[str, ...]
    stops: tuple[Stop, ...]
    first: str
    permitted: Pairs


class Own(NamedTuple):
    """What one cylinder has for itself: its size now, and the metal to remove, with labels."""

    cylinder: str
    now: Pairs
    remove: Pairs


class Work(NamedTuple):
    """Cylinders whose rows in the table of work are the same, and what each has for itself."""

    names: str
    rows: tuple[Finish, ...]
    own: tuple[Own, ...]


class Field(NamedTuple):
    """A place to write in, in the column of a cylinder; `hint` is printed small in its corner.

    Not `open`: the row does not concern that cylinder.
    """

    open: bool
    hint: str = ""


class Matrix(NamedTuple):
    """A table with a field to write in for every cylinder, as far as the row is one of its own."""

    caption: str
    columns: tuple[Column, ...]
    cylinders: tuple[str, ...]
    rows: tuple[tuple[tuple[str, ...], tuple[Field, ...]], ...]
    notes: tuple[str, ...] = ()


class Bores(NamedTuple):
    """Some cylinders together: their bores as measured (inline SVG), and fields for the finished
    ones, `beside` the drawing where they are narrow enough."""

    profile: str
    fields: tuple[Table, ...]
    beside: bool


class Sheet(NamedTuple):
    """A whole sheet. `marks` tie it to its files, `code` is the same as a QR code (inline SVG),
    `mark` the same in one line. `narrow`: so few cylinders that cautions stand beside the fields;
    `dense`: rows a little lower, for more than one of them on one page. `folded`: some cylinders
    share their rows. `everywhere` is the width of the ranges permitted everywhere (mm).
    """

    title: str
    note: str
    made_on: str
    status: str
    headlines: tuple[str, ...]
    facts: Pairs
    order: Table | None
    totals: Pairs
    finish: tuple[Work, ...]
    finish_notes: tuple[str, ...]
    bores: tuple[Bores, ...]
    fields: tuple[Matrix, ...]
    narrow: bool
    dense: bool
    folded: bool
    everywhere: int
    reasons: tuple[Section, ...]
    profiles: str
    cautions: tuple[str, ...]
    marks: Pairs
    mark: str
    code: str
