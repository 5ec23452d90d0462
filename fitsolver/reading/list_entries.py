"""A row of a list on its way to an article, and what the rows of a list leave open."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from fitsolver.reading.list_cells import OversizeUnit
from fitsolver.reading.list_kinds import Kind
from fitsolver.records.intake import Unclear

#: Kinds without a bore of their own, and those of which nothing but number and price is read.
NO_BORE: Final = ("gasket", "pin", "circlip")


@dataclass(slots=True)
class Entry:
    """A row on its way: what its cells and its description say, sizes in ticks.

    `overs` are the oversizes of its column and its description as they stand there; `standard`
    the standard bore, where a column of its own has it; `nth` the place of the oversize in its
    row of sizes, where the description counts them; `bare_grade`: its grade is of
    digits, and no word calls it so.
    """

    sheet: str
    row: int
    number: str
    description: str
    family: str
    kind: Kind
    bore: int | None
    standard: int | None
    overs: tuple[str, ...]
    grade: str
    place: str
    thickness: int | None
    price: int | None
    stock: int
    lead_days: int | None
    nth: int = 0
    bare_grade: bool = False
    oversize: int | None = None

    def figures(self) -> tuple[object, ...]:
        """Return all that is read of a row but where it stands."""
        return (
            self.number, self.description, self.family, self.kind, self.bore, self.standard,
            self.overs, self.grade, self.place, self.thickness, self.price, self.stock,
            self.lead_days,
        )  # fmt: skip


@dataclass(frozen=True)
class Open:
    """What the rows of a list leave open; '' and () where nothing is.

    `overs`: oversizes of which the unit is not known, with the units that make sense of them.
    `smallest`: families of which only the smallest bore could be the standard one. `words` of
    descriptions that are not known, with their rows. `headings`, `sheet_names`: engine types that
    stand between the rows, or name sheets. `fill`: rows without an engine type below one that has
    it. `lead`: lead times without a unit. `mixed`: engine types, of `families`, whose bores lie too
    far apart. `no_bores`: most bores are none in the list's unit. `price_note`: a note that prices
    are for several pieces. `skirts`: bores that look like sizes of pistons. `standards`:
    words in place of an oversize. `unsized`: engine types of which oversizes stand here, no bore.
    `blank`: rows without an oversize, of engine types whose other rows have one.
    """

    overs: tuple[str, ...] = ()
    units: tuple[OversizeUnit, ...] = ()
    smallest: tuple[str, ...] = ()
    words: Mapping[str, int] = field(default_factory=dict)
    headings: tuple[str, ...] = ()
    sheet_names: tuple[str, ...] = ()
    fill: int = 0
    lead: bool = False
    mixed: tuple[str, ...] = ()
    families: int = 0
    no_bores: tuple[str, ...] = ()
    price_note: str = ""
    skirts: tuple[str, ...] = ()
    standards: tuple[str, ...] = ()
    unsized: tuple[str, ...] = ()
    blank: int = 0


class RefusedError(Exception):
    """A row that is not understood: at which field, and why."""

    def __init__(self, field: str, reason: str) -> None:
        self.field, self.reason = field, reason
        super().__init__(reason)


def left_out(entry: Entry, field: str, reason: str) -> Unclear:
    """Return a row as one that is not taken in."""
    return Unclear(
        sheet=entry.sheet,
        row=entry.row,
        number=entry.number,
        description=entry.description,
        field=field,
        reason=reason,
    )
