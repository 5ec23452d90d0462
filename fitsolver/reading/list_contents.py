"""What a column of a list holds by its heading and its contents, and how sure that is."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Final

from fitsolver.reading.list_cells import is_bore, is_oversize
from fitsolver.reading.list_figures import amount, bare_number, count, lead_time
from fitsolver.reading.list_fractions import without_fractions
from fitsolver.reading.list_headings import COUNTED, SILENT, Role, bare_heading, heading_likeness
from fitsolver.reading.list_kinds import kind_of
from fitsolver.reading.list_legend import nth_of, size_behind
from fitsolver.reading.list_packs import pack_of
from fitsolver.reading.list_words import CURRENT, GRADE_WORDS, ONE, PAIR, SET, YES, plain

#: A heading counts from here; a column without a known heading is taken by its contents from there.
LIKE: Final = 0.6
BY_CONTENTS: Final = 0.6
#: Share of the cells of a column of sizes that are sizes; most texts of a column of grades.
_SIZED: Final = 0.85
_GRADES: Final = 20
#: Most signs of a grade: a column of shorter texts names no engines.
_GRADE: Final = 2
#: Most signs of a part number below a heading that is known.
_LONG: Final = 40
_NUMBER: Final = re.compile(r"(?=.*\d)[A-Za-z0-9][A-Za-z0-9._/+, -]{2,39}")


def score(role: Role, title: str, filled: Sequence[str]) -> float:
    """Return how sure a column holds a role: its heading and its contents together.

    A heading that is known counts as far as the contents allow it; without one, contents that
    only this role has count up to `BY_CONTENTS`. A count that may be of a pack is one in stock
    where it is 0 somewhere.
    """
    heading = heading_likeness(title, role)
    if not filled:
        return 0.0
    if heading >= LIKE:
        fits = share(_MAY_HOLD[role], filled)
        if role == "number":
            fits *= _tells_apart(filled, barcodes=heading >= _NAMED)
        if fits < (_SIZED if role in _SIZES else 0.3) or (
            role == "grade" and len(set(filled)) > _GRADES
        ):
            return 0.0
        if role == "stock" and bare_heading(title) in COUNTED and not any(map(_none_left, filled)):
            return BY_CONTENTS * fits
        return heading * (0.6 + 0.4 * fits)
    if bare_heading(title) in SILENT:
        return 0.0
    shows = _SHOWS.get(role)
    shown = 0.0 if shows is None else shows(filled)
    return BY_CONTENTS * shown if shown >= 0.6 else 0.0


def _none_left(cell: str) -> bool:
    return count(cell) == 0


#: A heading from which figures as long as those of barcodes are part numbers.
_NAMED: Final = 0.85


def _tells_apart(filled: Sequence[str], *, barcodes: bool = False) -> float:
    """Return how far a column tells rows apart: not where it only counts them, or is a barcode.

    With `barcodes` figures of that length may be part numbers.
    """
    figures = [int(cell) for cell in filled if cell.isdecimal() and len(cell) < 8]
    counting = len(figures) == len(filled) > 2 and figures == list(
        range(figures[0], figures[0] + len(figures))
    )
    coded = len(filled) > 2 and all(re.fullmatch(r"\d{8}|\d{12,14}", cell) for cell in filled)
    return 0.0 if counting or (coded and not barcodes) else len(set(filled)) / len(filled)


def bare_grade(cell: str) -> str:
    """Return a grade without the word for it: 'Group A' is A."""
    first, _, rest = cell.partition(" ")
    return rest if rest and plain(first) in GRADE_WORDS else cell


def share(test: Callable[[str], bool], filled: Sequence[str]) -> float:
    return sum(map(test, filled)) / len(filled)


def is_amount(cell: str) -> bool:
    return amount(cell, ".") is not None or amount(cell, ",") is not None


def _looks_like_a_number(filled: Sequence[str]) -> float:
    """Part numbers: figures and letters, hardly one twice, no prices."""
    named = share(lambda cell: bool(_NUMBER.fullmatch(cell)) and kind_of(cell) is None, filled)
    unique = _tells_apart(filled)
    money_ = share(lambda cell: bool(MONEY.fullmatch(bare_number(cell))), filled)
    return named * unique * (1 - money_) if len(filled) > 1 else 0.0


def _looks_like_families(filled: Sequence[str]) -> float:
    """Names of engines: short, each for several rows, neither amounts nor descriptions."""
    named = share(lambda c: len(c) <= 30 and not is_amount(c) and kind_of(c) is None, filled)
    named = named if max(map(len, filled)) > _GRADE else 0.0
    said = share(_is_no_engine, filled)
    several = len(filled) >= 4 and said < 0.5 and 1 < len(set(filled)) <= len(filled) / 2
    runs = 1 + sum(plain(a) != plain(b) for a, b in pairwise(filled))
    several = several and 2 * runs <= len(filled)
    lettered = share(lambda cell: any(sign.isalpha() for sign in cell), filled)
    return 0.8 * named * lettered if several else 0.0


def _is_no_engine(cell: str) -> bool:
    """Tell whether a cell says a size, a time or a unit of sale rather than an engine type."""
    time = lead_time(cell)
    timed = time is not None and bool(time[1])
    return plain(cell) in _NO_ENGINES or timed or is_oversize(cell) or pack_of(cell) is not None


def _looks_like_oversizes(filled: Sequence[str]) -> float:
    """Oversizes: few of them, in steps that parts are made in, some said to be one or none."""
    few = len(filled) >= 4 and 2 <= len(set(filled)) <= _OVERSIZES
    said = any(not cell[:1].isdecimal() or cell[-1:].isalpha() for cell in filled)
    sizes = share(is_oversize, filled)
    return sizes if few and said and not all(map(str.isdecimal, filled)) else 0.0


#: Most sizes of a column that is taken for oversizes by its contents.
_OVERSIZES: Final = 12
#: Short texts of units of sale and of what is in stock.
_NO_ENGINES: Final = ONE | SET | PAIR | YES | set(CURRENT) | {"no", "none", "0"}


#: What the contents alone show, where the heading is not known.
_SHOWS: Final[dict[Role, Callable[[Sequence[str]], float]]] = {
    "number": _looks_like_a_number,
    "description": lambda cells: share(
        lambda cell: kind_of(cell) is not None and (_has_digit(cell) or " " in cell), cells
    ),
    "price": lambda cells: share(lambda c: bool(MONEY.fullmatch(bare_number(c))), cells),
    "stock": lambda cells: share(_small_count, cells),
    "family": _looks_like_families,
    "oversize": _looks_like_oversizes,
    "kind": lambda cells: share(lambda cell: kind_of(cell) is not None, cells)
    if 2 * len(set(cells)) <= len(cells)
    else 0.0,
}
MONEY: Final[re.Pattern[str]] = re.compile(r"[\d.,]*\d[.,]\d\d")


def _small_count(cell: str) -> bool:
    found = count(cell)
    return found is not None and found < 1000


def _has_digit(cell: str) -> bool:
    return any(sign.isdigit() for sign in cell)


_SIZES: Final = ("bore", "standard", "oversize", "thickness", "family")
_MAY_HOLD: Final[dict[Role, Callable[[str], bool]]] = {
    "number": lambda cell: _has_digit(cell) and len(cell) <= _LONG and kind_of(cell) is None,
    "description": lambda cell: any(sign.isalpha() for sign in cell),
    "family": lambda cell: kind_of(cell) is None,
    "more": lambda cell: any(sign.isalpha() for sign in cell),
    "kind": lambda cell: kind_of(cell) is not None,
    "bore": lambda cell: is_bore(without_fractions(cell)),
    "standard": lambda cell: is_bore(without_fractions(cell)),
    "oversize": lambda cell: is_oversize(size_behind(cell)) or nth_of(cell) > 0,
    "thickness": is_oversize,
    "pieces": lambda cell: pack_of(cell) is not None,
    "grade": lambda cell: len(bare_grade(cell)) <= 6,
    "price": lambda cell: _has_digit(bare_number(cell)) and is_amount(cell),
    "stock": lambda cell: count(cell) is not None,
    "lead_days": _has_digit,
    "currency": lambda cell: len(cell) <= 6,
}
