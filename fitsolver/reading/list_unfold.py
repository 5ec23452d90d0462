"""Sheets that are no table of one article a row: tables side by side, sizes across.

Tables side by side become sheets of their own under the same name. A table with a column a size
becomes one with a row an article: what stands left of the sizes is said of each of them.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise
from typing import Final, Literal, get_args

from fitsolver.reading.list_blocks import blocks_of
from fitsolver.reading.list_cells import (
    BORES,
    OVERSIZE_UNITS,
    STEPS,
    OversizeUnit,
    is_step,
    oversize,
)
from fitsolver.reading.list_contents import LIKE, share
from fitsolver.reading.list_dittos import without_dittos
from fitsolver.reading.list_figures import bare_number, length
from fitsolver.reading.list_headings import ROLES, heading_likeness
from fitsolver.reading.list_legend import legend_of
from fitsolver.reading.list_sheets import ListSheet
from fitsolver.reading.list_words import plain

#: What stands in the cells of a table with a column a size.
Across = Literal["price", "number", "stock"]
ACROSS: Final[tuple[Across, ...]] = get_args(Across)
#: What stands in the number of an article between that of its row and its size.
Joint = Literal["dash", "blank", "none"]
JOINTS: Final[dict[Joint, str]] = {"dash": "-", "blank": " ", "none": ""}
#: The headings of columns that are made.
MADE_SIZE: Final = "Oversize"
MADE_BORE: Final = "Bore"
_MADE: Final[dict[Across, str]] = {"price": "Price", "number": "Part no", "stock": "Stock"}
#: Rows in which headings are looked for; sizes that make a table of sizes; most of them.
_TOP: Final = 40
_FEWEST: Final = 3
_LONGEST: Final = 12
_MOST: Final = 24
#: Share of the cells below a size that are filled alike; texts that stand for nothing sold.
_FILLED: Final = 0.6
_NOTHING: Final = frozenset(("", "-", "--", "x", "n a", "na"))
_MONEY: Final = re.compile(r"\d[\d.,]*")
_KNOWN: Final = 0.75

Row = tuple[int, tuple[str, ...]]


@dataclass(frozen=True)
class Unfolded:
    """The sheets of a list as tables of one article a row.

    `sizes` are the headings that were sizes, of a table of which a person has to say what stands
    in its cells; `proposed` what they look like. `beside`: tables stood side by side. `number` is
    one of a row, of which and a size an article's is made.
    """

    sheets: tuple[ListSheet, ...]
    sizes: tuple[str, ...] = ()
    proposed: Across | None = None
    beside: bool = False
    number: str = ""


def unfolded(sheets: Sequence[ListSheet], across: Across | None, joint: Joint | None) -> Unfolded:
    """Return the sheets of a list with one article a row; `across`, `joint` as a person told."""
    found: list[ListSheet] = []
    sizes: tuple[str, ...] = ()
    proposed: Across | None = None
    beside, number = False, ""
    legend = legend_of(sheets)
    for sheet in map(without_dittos, sheets):
        blocks = blocks_of(replace(sheet, legend=legend))
        beside = beside or len(blocks) > 1
        for block in blocks:
            table = _sizes_across(block)
            if table is None:
                found.append(block)
                continue
            if not table.inner:
                sizes, proposed = sizes or table.texts, proposed or table.proposed
            what = table.inner or across or table.proposed
            number = number or _number_of(block, table, what)
            found.append(_one_a_row(block, table, what, JOINTS[joint or "blank"]))
    return Unfolded(tuple(found), sizes, proposed, beside, number)


def _number_of(sheet: ListSheet, table: _Table, what: Across | tuple[str, ...]) -> str:
    """Return the number of the first row where those of articles are made from it, '' elsewhere."""
    if what == "number" or not isinstance(what, str):
        return ""
    named = _named(sheet, table)
    cells = sheet.rows[table.below][1]
    return "" if named is None else _cell(cells, table.others[named])


def _named(sheet: ListSheet, table: _Table) -> int | None:
    """Return which of the columns that hold for each size has a number: by heading or contents."""
    known = (heading_likeness(title, "number") >= LIKE for title in table.titles)
    by_heading = next((n for n, named in enumerate(known) if named), None)
    if by_heading is not None:
        return by_heading
    for n, at in enumerate(table.others):
        filled = [cell for _, row in sheet.rows[table.below :] if (cell := _cell(row, at))]
        if filled and len(set(filled)) == len(filled) and all(map(_CODE.fullmatch, filled)):
            return n
    return None


#: A part number: letters and figures without a blank.
_CODE: Final = re.compile(r"(?=\S*\d)(?=\S*[A-Za-z])[\w./-]+")


@dataclass(frozen=True)
class _Table:
    """A table with a column, or `stride` columns, a size.

    `others` are the columns that hold for each size, `titles` their headings.
    `head` is the place of the row of sizes, `below` that of the first row of articles, `first` the
    column of the first size. `down`: the sizes stand in the first column, the types across.
    """

    head: int
    below: int
    first: int
    stride: int
    texts: tuple[str, ...]
    bores: bool
    others: tuple[int, ...]
    titles: tuple[str, ...]
    inner: tuple[str, ...]
    proposed: Across


def _sizes_across(sheet: ListSheet) -> _Table | None:
    headed = _TOP
    for at, (_, cells) in enumerate(sheet.rows[:_TOP]):
        if at > headed + 1:
            break
        found = _run_of_sizes(cells)
        if sum(map(_is_known, filter(None, cells))) >= _FEWEST:
            headed = min(headed, at)
        if found is None:
            continue
        first, stride, texts, bores = found
        last = first + stride * len(texts)
        beside = [cell for n, cell in enumerate(cells) if cell and not first <= n < last]
        if not all(map(_is_title, beside)) or (beside and not any(map(_is_known, beside))):
            continue
        lower = sheet.rows[at + 1][1] if stride > 1 and at + 1 < len(sheet.rows) else cells
        inner = tuple(_cell(lower, first + n) for n in range(stride)) if stride > 1 else ()
        if stride > 1 and not all(inner):
            continue
        below = at + (2 if stride > 1 else 1)
        filled = [
            cell
            for _, row in sheet.rows[below:]
            for n in range(len(texts))
            if plain(cell := _cell(row, first + n * stride)) not in _NOTHING
        ]
        rows = len(sheet.rows) - below
        proposed = _looks_like(filled)
        if proposed is None or len(filled) < rows:
            continue
        width = max(len(row) for _, row in sheet.rows)
        others = (*range(first), *range(last, width))
        titles = tuple(_cell(lower, n) or _cell(cells, n) for n in others)
        return _Table(at, below, first, stride, texts, bores, others, titles, inner, proposed)
    return None


def _run_of_sizes(cells: Sequence[str]) -> tuple[int, int, tuple[str, ...], bool] | None:
    """Return where a row of rising sizes begins, columns from one to the next, texts, if bores."""
    tells: list[Callable[[str], int | None]] = [
        *(partial(_oversize, unit=unit) for unit in OVERSIZE_UNITS),
        _bore,
    ]
    for tell in tells:
        sizes = [(n, size) for n, cell in enumerate(cells) if (size := tell(cell)) is not None]
        if not _FEWEST <= len(sizes) <= _MOST:
            continue
        strides = {b[0] - a[0] for a, b in pairwise(sizes)}
        rising = all(a[1] < b[1] for a, b in pairwise(sizes))
        spread = sizes[-1][1] - sizes[0][1]
        if len(strides) != 1 or not rising or spread > STEPS[1]:
            continue
        (stride,) = strides
        return sizes[0][0], stride, tuple(cells[n] for n, _ in sizes), tell is _bore
    return None


def _oversize(cell: str, *, unit: OversizeUnit) -> int | None:
    """Return the size of a heading that is an oversize in a unit, None for another."""
    bare = re.sub(r"(?i)\s*(?:mm|ø)\s*$", "", cell).strip()
    found = oversize(bare, unit) if len(cell) <= _LONGEST else None
    return found if found is not None and is_step(found) else None


def _bore(cell: str) -> int | None:
    if not re.search(r"\d[.,]\d", cell):
        return None
    found = length(cell, "mm", "," if "," in cell else ".")
    return found if found is not None and BORES[0] <= found <= BORES[1] else None


def _is_known(cell: str) -> bool:
    return any(heading_likeness(cell, role) >= LIKE for role in ROLES)


def _is_title(cell: str) -> bool:
    return any(sign.isalpha() for sign in cell) and len(cell) <= 40


def _cell(cells: Sequence[str], at: int) -> str:
    return cells[at] if at < len(cells) else ""


def _has_both(cell: str) -> bool:
    return any(sign.isdigit() for sign in cell) and any(sign.isalpha() for sign in cell)


def _looks_like(filled: Sequence[str]) -> Across | None:
    """Return what cells below sizes look like, None where they are of several kinds."""
    if not filled:
        return None
    if share(lambda cell: bool(_MONEY.fullmatch(bare_number(cell))), filled) >= _FILLED:
        return "stock" if share(lambda cell: len(cell) < 3, filled) == 1 else "price"
    lettered = share(_has_both, filled)
    return "number" if lettered >= _FILLED else None


def _one_a_row(
    sheet: ListSheet, table: _Table, what: Across | tuple[str, ...], joint: str
) -> ListSheet:
    """Return a table of sizes as one of articles; the rows of one stand below each other."""
    named = _named(sheet, table)
    made = MADE_BORE if table.bores else MADE_SIZE
    inner = (_MADE[what],) if isinstance(what, str) else what
    own = any(heading_likeness(title, "number") >= _KNOWN for title in inner)
    number = () if own or named is not None else (_MADE["number"],)
    titles = (*number, *table.titles, made, *inner)
    numbered = sheet.rows[table.below - 1][0]
    rows: list[Row] = [*sheet.rows[: table.head], (numbered, titles)]
    for row, cells in sheet.rows[table.below :]:
        rows += _articles(row, cells, table, None if own else named, joint, made=bool(number))
    width = range(len(titles))
    return replace(
        sheet,
        rows=tuple(rows),
        merged=frozenset(),
        unworked=frozenset((row, n) for row, _ in sheet.unworked for n in width),
        struck=frozenset((row, n) for row, _ in sheet.struck for n in width),
        hidden_columns=(),
    )


def _articles(
    row: int, cells: Sequence[str], table: _Table, named: int | None, joint: str, *, made: bool
) -> Iterator[Row]:
    """Yield a row an article of a row of a table of sizes; a heading or a note stays as it is."""
    common = [_cell(cells, n) for n in table.others]
    values = [
        [_cell(cells, table.first + n * table.stride + k) for k in range(table.stride)]
        for n in range(len(table.texts))
    ]
    if not any(map(any, values)):
        yield row, tuple(cells)
        return
    for text, value in zip(table.texts, values, strict=True):
        if all(plain(cell) in _NOTHING for cell in value):
            continue
        said = [*common]
        if named is not None and said[named]:
            said[named] = f"{said[named]}{joint}{text}"
        first = next((cell for cell in common if cell), "")
        number = [f"{first} {text}".strip()] if made else []
        yield row, (*number, *said, text, *value)
