"""Where the headings of a list stand and what its columns hold, each with how sure that is."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import zip_longest
from typing import Final

from fitsolver.reading.list_contents import LIKE, MONEY, is_amount, score, share
from fitsolver.reading.list_figures import bare_number
from fitsolver.reading.list_headings import (
    REMARKS,
    ROLES,
    SILENT,
    Role,
    bare_heading,
    heading_likeness,
)
from fitsolver.reading.list_kinds import kind_of
from fitsolver.reading.list_sheets import ListSheet
from fitsolver.reading.list_words import plain

#: Share of the rows that have the usual number of cells.
_USUAL: Final = 0.8
#: Rows in which headings are looked for, and rows that contents are judged by.
_TOP: Final = 40
#: Characters of a heading.
_LONGEST: Final = 60
_JUDGED: Final = 300
#: What is asked where it is not sure, or where another column could hold it as well.
#: Words of headings over amounts that are no prices.
_NO_PRICE: Final = frozenset(
    (
        "weight", "wt", "kg", "g", "gram", "grams", "gewicht", "poids", "peso", "volume", "tax",
        "vat", "mwst", "iva", "tva", "btw", "discount", "rabatt", "remise", "sconto", "descuento",
    )
)  # fmt: skip
ASKED: Final[tuple[Role, ...]] = ("number", "description", "price", "stock", "family")
SURE: Final = 0.7


@dataclass(frozen=True)
class Layout:
    """The columns of a sheet: the row of its headings (0 = none), and for each role its place.

    `rivals` are other columns that could hold a role as well; `remarks` columns whose rows, where
    they are filled, say something that no figure does; `shows` texts of each column, `sparse`
    those filled in few rows. `width` is how many cells a row may have; `absent` are roles
    that no column holds, as a person said.
    """

    heading_row: int
    titles: tuple[str, ...]
    places: Mapping[Role, int]
    sure: Mapping[Role, float]
    rivals: Mapping[Role, tuple[int, ...]] = field(default_factory=dict)
    remarks: tuple[int, ...] = ()
    shows: tuple[tuple[str, ...], ...] = ()
    told: frozenset[Role] = frozenset()
    sparse: frozenset[int] = frozenset()
    width: int = 0
    absent: frozenset[Role] = frozenset()

    @property
    def open(self) -> tuple[int, ...]:
        """Columns from which nothing is read, though they may say what an article is."""
        read = {*self.places.values(), *self.remarks}
        read.update(
            at for role, others in self.rivals.items() if role not in self.told for at in others
        )
        return tuple(
            at
            for at, texts in enumerate(self.shows)
            if at not in read and texts and not self._is_silent(at)
        )

    def _is_silent(self, at: int) -> bool:
        """Tell whether a heading says nothing that counts, or names what a person chose among."""
        title = self.titles[at] if at < len(self.titles) else ""
        chosen = any(heading_likeness(title, role) >= LIKE for role in self.told - self.absent)
        texts = self.shows[at]
        named = "kind" not in self.places and share(lambda c: kind_of(c) is not None, texts) > 0.5
        return bare_heading(title) in SILENT or (chosen and not named)

    @property
    def is_sure(self) -> bool:
        """Tell whether nothing needs to be asked of the columns that every list has."""
        needed = all(
            role in self.places or role in self.absent for role in ASKED if role != "family"
        )
        open_ = set(self.rivals) - self.told
        return needed and not open_ and all(sure >= SURE for sure in self.sure.values())

    def cell(self, cells: Sequence[str], role: Role) -> str:
        """Return the cell of a row that holds a role, '' where none does."""
        at = self.places.get(role)
        return "" if at is None or at >= len(cells) else cells[at]

    def title(self, at: int) -> str:
        """Return the heading of a column, by which it is named."""
        named = self.titles[at] if at < len(self.titles) else ""
        return named if self.titles.count(named) == 1 else f"column {at + 1}"


def layout_of(
    sheet: ListSheet,
    told: Mapping[Role, str] | None = None,
    chosen: Collection[Role] = (),
) -> Layout | None:
    """Return the layout of a sheet, None where it has no column that could be a part number.

    `told` names headings for roles, as a mapping file holds them: they outrank what is guessed,
    and a heading of '' says that no column holds it. `chosen` are the roles that a person named.
    """
    known = told or {}
    head = _heading_row(sheet, known)
    number, titles, second, body = _headings(sheet, head)
    titled = max((at + 1 for at, title in enumerate(titles) if title), default=0)
    width = max(_width(body), titled)
    columns = _columns(body[:_JUDGED], width)
    places: dict[Role, int] = {}
    sure: dict[Role, float] = {}
    for role, heading in known.items():
        named = _place(heading, titles)
        named = _place(heading, second) if named is None else named
        if named is not None:
            places[role], sure[role] = named, 1.0
    scores = [
        (score(role, titles[at] if at < len(titles) else "", cells), role, at)
        for at, cells in enumerate(columns)
        for role in ROLES
        if role not in known
    ]
    for sure_, role, at in sorted(scores, key=lambda s: (-s[0], ROLES.index(s[1]), s[2])):
        # Where the engine type was told to stand in the descriptions, they are both.
        shared = role == "description" and "family" in known and at == places.get("family")
        if sure_ > 0 and role not in places and (shared or at not in places.values()):
            places[role], sure[role] = at, round(sure_, 2)
    if "description" not in {*places, *known} and sure.get("kind", 1.0) < SURE:
        del places["kind"], sure["kind"]  # it is proposed as the description
    if "number" not in places:
        return None
    taken = set(places.values())
    return Layout(
        number,
        titles,
        places,
        sure,
        _rivals(scores, places, sure, columns, titles),
        tuple(
            at
            for at, cells in enumerate(columns)
            if at < len(titles)
            and at not in taken
            and bare_heading(titles[at]) in REMARKS
            and 0 < len(cells) <= _FEW * len(body[:_JUDGED])
        ),
        tuple(tuple(dict.fromkeys(cells))[:_TEXTS] for cells in columns),
        frozenset(chosen),
        frozenset(
            at for at, cells in enumerate(columns) if len(cells) <= _FEW * len(body[:_JUDGED])
        ),
        width,
        frozenset(role for role, heading in known.items() if not heading),
    )


#: Texts of a column that are kept to show it; share of rows that a remark is made of at most.
_TEXTS: Final = 40
_FEW: Final = 0.5


def _rivals(
    scores: Sequence[tuple[float, Role, int]],
    places: Mapping[Role, int],
    sure: Mapping[Role, float],
    columns: Sequence[Sequence[str]],
    titles: Sequence[str],
) -> dict[Role, tuple[int, ...]]:
    """Return which other columns could hold a role: nearly as likely, and of no other role.

    One whose heading is known has no rival by contents alone, but for the price: a list with
    two is asked which.
    """
    taken = {at: role for role, at in places.items()}
    found: dict[Role, tuple[int, ...]] = {}
    for role in ASKED:
        if role not in places:
            continue
        near = _other_prices(columns, titles, places) if role == "price" else set()
        near |= {
            at
            for like, of, at in scores
            if of == role and at != places[role] and like >= min(0.7, 0.8 * sure[role])
            and taken.get(at, role) == role
        }  # fmt: skip
        if near:
            found[role] = tuple(sorted(near))
    return found


def _other_prices(
    columns: Sequence[Sequence[str]], titles: Sequence[str], places: Mapping[Role, int]
) -> set[int]:
    """Return the columns of amounts that nothing is read from, but for weights and the like."""
    return {
        at
        for at, filled in enumerate(columns)
        if at not in places.values()
        and filled
        and share(lambda c: bool(MONEY.fullmatch(bare_number(c))), filled) >= 0.6
        and not set(plain(titles[at] if at < len(titles) else "").split()) & _NO_PRICE
    }


def _columns(body: Sequence[tuple[int, tuple[str, ...]]], width: int) -> list[list[str]]:
    return [
        [cells[at] for _, cells in body if at < len(cells) and cells[at]] for at in range(width)
    ]


def _headings(
    sheet: ListSheet, head: int | None
) -> tuple[int, tuple[str, ...], tuple[str, ...], Sequence[tuple[int, tuple[str, ...]]]]:
    """Return row and texts of the headings, what else heads the columns, and the rows below.

    Headings in two rows count as one: of two texts that head a column the better known one.
    """
    if head is None:
        return 0, (), (), sheet.rows
    number, titles = sheet.rows[head]
    for upper, lower in ((head, head + 1), (head - 1, head)):
        if not 0 <= upper < lower < len(sheet.rows) - 1:
            continue
        above, below = sheet.rows[upper], sheet.rows[lower]
        if below[0] == above[0] + 1 and _are_two(above[1], below[1]):
            pairs = list(zip_longest(above[1], below[1], fillvalue=""))
            best = tuple(max(reversed(pair), key=_likeness) for pair in pairs)
            other = tuple(min(pair, key=_likeness) for pair in pairs)
            return below[0], best, other, sheet.rows[lower + 1 :]
    return number, titles, (), sheet.rows[head + 1 :]


def is_heading(text: str) -> bool:
    """Tell whether a text is one that names a column."""
    return len(text) <= _LONGEST and _likeness(text) >= SURE


def _likeness(title: str) -> float:
    return max(heading_likeness(title, role) for role in ROLES) if title else -1.0


def _are_two(above: Sequence[str], below: Sequence[str]) -> bool:
    """Tell whether two rows of texts head one table: the lower says more of the upper's columns."""
    texts = [cell for row in (above, below) for cell in row if cell]
    if any(sign.isdigit() for text in texts for sign in text) or max(map(len, texts)) > _LONGEST:
        return False
    both = [sum(map(bool, row)) for row in (above, below)]
    known = [sum(_likeness(cell) >= LIKE for cell in row) for row in (above, below)]
    filled = sum(bool(a or b) for a, b in zip_longest(above, below, fillvalue=""))
    return min(both) >= 2 and min(known) >= 1 and sum(known) >= 3 and filled > both[0]


def _width(body: Sequence[tuple[int, tuple[str, ...]]]) -> int:
    """Return how many cells most rows of a table have, the most where they differ."""
    widths = Counter(len(cells) for _, cells in body)
    ((usual, rows), *_) = widths.most_common(1) or [(0, 0)]
    return usual if rows > _USUAL * widths.total() else max(widths, default=0)


def _place(heading: str, titles: Sequence[str]) -> int | None:
    if not heading:
        return None
    bare = plain(heading)
    named = next((at for at, title in enumerate(titles) if plain(title) == bare), None)
    counted = re.fullmatch(r"column (\d{1,3})", bare)
    return int(counted[1]) - 1 if named is None and counted else named


def _heading_row(sheet: ListSheet, told: Mapping[Role, str]) -> int | None:
    """Return which of the first rows holds the headings, None if none does.

    It is the one with most words that are known; else the first row of three texts or more, no
    figure among them, with figures in the row below.
    """
    best, found = 1.5, None
    wanted = {plain(heading) for heading in told.values() if heading}
    for at, (_, cells) in enumerate(sheet.rows[:_TOP]):
        named = sum(_is_heading(cell, wanted) for cell in cells if cell and len(cell) <= _LONGEST)
        if named > best:
            best, found = named, at
    if found is not None:
        return found
    for at, (_, cells) in enumerate(sheet.rows[: min(_TOP, len(sheet.rows) - 1)]):
        filled, below = [c for c in cells if c], [c for c in sheet.rows[at + 1][1] if c]
        texts = len(filled) >= 3 and not any(is_amount(c) for c in filled)
        if texts and len(below) >= 3 and any(is_amount(c) for c in below):
            return at
    return None


def _is_heading(cell: str, wanted: Collection[str]) -> float:
    """Return how sure a cell is a heading: twice where it is one that a mapping names."""
    if plain(cell) in wanted:
        return 2.0
    likeness = _likeness(cell)
    return likeness if likeness >= LIKE else 0.0
