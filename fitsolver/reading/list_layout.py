"""Where the headings of a list stand and what its columns hold, each with how sure that is."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from fitsolver.reading.list_figures import amount, bare_number, count
from fitsolver.reading.list_patterns import kind_of
from fitsolver.reading.list_sheets import ListSheet
from fitsolver.reading.list_words import ROLES, Role, heading_likeness, plain

#: Rows in which headings are looked for, and rows that contents are judged by.
_TOP: Final = 40
_JUDGED: Final = 300
#: A heading counts from here; a column without a known heading is taken by its contents from there.
_LIKE: Final = 0.7
_BY_CONTENTS: Final = 0.6
_NUMBER: Final = re.compile(r"(?=.*\d)[A-Za-z0-9][A-Za-z0-9._/+ -]{2,39}")


@dataclass(frozen=True)
class Layout:
    """The columns of a sheet: the row of its headings (0 = none), and for each role its place."""

    heading_row: int
    titles: tuple[str, ...]
    places: Mapping[Role, int]
    sure: Mapping[Role, float]


def layout_of(sheet: ListSheet, told: Mapping[Role, str] | None = None) -> Layout | None:
    """Return the layout of a sheet, None where it has no column that could be a part number.

    `told` names headings for roles, as a mapping file holds them: they outrank what is guessed,
    and a heading of '' says that no column holds it.
    """
    head = _heading_row(sheet, told or {})
    if head is None:
        titles: tuple[str, ...] = ()
        body = sheet.rows
        number = 0
    else:
        number, titles = sheet.rows[head]
        body = sheet.rows[head + 1 :]
    width = max((len(cells) for _, cells in sheet.rows), default=0)
    columns = [[c[at] if at < len(c) else "" for _, c in body[:_JUDGED]] for at in range(width)]
    scores: list[tuple[float, Role, int]] = []
    for at in range(width):
        title = titles[at] if at < len(titles) else ""
        for role in ROLES:
            if told is not None and role in told:
                continue
            score = _score(role, title, columns[at])
            if score > 0:
                scores.append((score, role, at))
    places: dict[Role, int] = {}
    sure: dict[Role, float] = {}
    for role, heading in (told or {}).items():
        named = _place(heading, titles)
        if named is not None:
            places[role], sure[role] = named, 1.0
    for score, role, at in sorted(
        scores, key=lambda item: (-item[0], ROLES.index(item[1]), item[2])
    ):
        if role not in places and at not in places.values():
            places[role], sure[role] = at, round(score, 2)
    if "number" not in places:
        return None
    return Layout(number, titles, places, sure)


def _place(heading: str, titles: Sequence[str]) -> int | None:
    if not heading:
        return None
    bare = plain(heading)
    return next((at for at, title in enumerate(titles) if plain(title) == bare), None)


def _heading_row(sheet: ListSheet, told: Mapping[Role, str]) -> int | None:
    """Return which of the first rows holds the headings: the one with most that are known."""
    best, found = 1.5, None
    wanted = {plain(heading) for heading in told.values() if heading}
    for at, (_, cells) in enumerate(sheet.rows[:_TOP]):
        named = 0.0
        for cell in cells:
            if not cell or len(cell) > 60:
                continue
            if plain(cell) in wanted:
                named += 2
            else:
                likeness = max(heading_likeness(cell, role) for role in ROLES)
                named += likeness if likeness >= _LIKE else 0
        if named > best:
            best, found = named, at
    return found


def _score(role: Role, title: str, cells: Sequence[str]) -> float:
    """Return how sure a column holds a role: its heading first, its contents to confirm it."""
    heading = heading_likeness(title, role)
    filled = [cell for cell in cells if cell]
    if not filled:
        return 0.9 * heading if heading >= _LIKE else 0.0
    fits = _contents(role, filled)
    if heading >= _LIKE:
        return heading * (0.6 + 0.4 * fits) if fits >= 0.3 else 0.0
    return 0.6 * fits if fits >= 0.9 and role in _TOLD_BY_CONTENTS and not title else 0.0


#: Roles that contents alone can show, where a column has no heading.
_TOLD_BY_CONTENTS: Final = ("number", "description", "price")


def _contents(role: Role, filled: Sequence[str]) -> float:
    """Return the share of filled cells that may hold a role."""
    share = sum(map(_MAY_HOLD[role], filled)) / len(filled)
    if role == "number":
        share *= min(1.0, len(set(filled)) / len(filled) + 0.2)
    return share


def _is_amount(cell: str) -> bool:
    return amount(cell, ".") is not None or amount(cell, ",") is not None


def _has_digit(cell: str) -> bool:
    return any(sign.isdigit() for sign in cell)


_MAY_HOLD: Final[dict[Role, Callable[[str], bool]]] = {
    "number": lambda cell: bool(_NUMBER.fullmatch(cell)) and kind_of(cell) is None,
    "description": lambda cell: any(sign.isalpha() for sign in cell),
    "family": bool,
    "bore": lambda cell: _has_digit(cell) or len(cell) <= 10,
    "oversize": lambda cell: _has_digit(cell) or len(cell) <= 10,
    "grade": lambda cell: len(cell) <= 6,
    "price": lambda cell: _has_digit(bare_number(cell)) and _is_amount(cell),
    "stock": lambda cell: count(cell) is not None,
    "lead_days": _has_digit,
    "currency": lambda cell: len(cell) <= 6,
}
