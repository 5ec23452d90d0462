"""Tables that stand side by side on one sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from fitsolver.reading.list_cells import is_oversize
from fitsolver.reading.list_headings import ROLES, heading_likeness
from fitsolver.reading.list_sheets import ListSheet
from fitsolver.reading.list_words import plain

#: Rows in which headings are looked for, and how sure one must be to be one.
_TOP: Final = 40
_KNOWN: Final = 0.75


def blocks_of(sheet: ListSheet) -> tuple[ListSheet, ...]:
    """Return the tables of a sheet that stand beside each other, itself where there is one."""
    for at, (_, titles) in enumerate(sheet.rows[:_TOP]):
        common = _common(titles)
        sized = at and any(is_oversize(cell) for cell in sheet.rows[at - 1][1] if cell)
        if common is not None and not sized:
            return tuple(_beside(sheet, at, common[0], one) for one in common[1])
        starts = _repeated(titles) or _apart(titles, sheet, at)
        if starts:
            ends = [*starts[1:], max(len(cells) for _, cells in sheet.rows)]
            return tuple(
                _block(sheet, at, first, last) for first, last in zip(starts, ends, strict=True)
            )
    return (sheet,)


def _repeated(titles: Sequence[str]) -> tuple[int, ...]:
    """Return where the same headings begin again, () where they do not."""
    filled = [(at, plain(title)) for at, title in enumerate(titles) if title]
    names = [name for _, name in filled]
    for times in range(2, len(names) // 2 + 1):
        width = len(names) // times
        whole = width >= 2 and width * times == len(names)
        if whole and names == names[:width] * times and _is_table(names[:width]):
            return tuple(filled[n * width][0] for n in range(times))
    return ()


def _common(titles: Sequence[str]) -> tuple[int, tuple[range, ...]] | None:
    """Return how many first columns hold for tables whose headings begin again behind them.

    'Engine | Bore | No. | Price | No. | Price'; None where no headings do.
    """
    names = [plain(title) for title in titles]
    while names and not names[-1]:
        names.pop()
    for first in range(1, len(names) - 3):
        rest = names[first:]
        for width in range(2, len(rest) // 2 + 1):
            times, left = divmod(len(rest), width)
            if left or rest != rest[:width] * times or len(set(rest[:width])) < width:
                continue
            numbered = any(heading_likeness(name, "number") >= _KNOWN for name in rest[:width])
            if numbered and not set(names[:first]) & set(rest):
                at = (first + n * width for n in range(times))
                return first, tuple(range(n, n + width) for n in at)
    return None


def _beside(sheet: ListSheet, head: int, common: int, own: range) -> ListSheet:
    """Return a table of common first columns and of columns of its own.

    What stands above its own columns names what stands below them.
    """
    places = (*range(common), *own)
    number, titles = sheet.rows[head]
    above = sheet.rows[head - 1][1] if head else ()
    heads = [_at(titles, n) or (_at(above, n) if n < common else "") for n in places]
    rows: list[tuple[int, tuple[str, ...]]] = [(number, tuple(heads))]
    named = [text for n in own if (text := _at(above, n))]
    if len(named) == 1:
        rows = [(sheet.rows[head - 1][0], tuple(heads)), (number, (named[0],))]
    for row, cells in sheet.rows[head + 1 :]:
        if any(_at(cells, n) for n in own) or sum(map(bool, cells)) == 1:
            rows.append((row, tuple(_at(cells, n) for n in places)))
    moved = {n: at for at, n in enumerate(places)}

    def kept(cells: frozenset[tuple[int, int]]) -> frozenset[tuple[int, int]]:
        return frozenset((row, moved[n]) for row, n in cells if n in moved)

    return replace(
        sheet, rows=tuple(rows), merged=kept(sheet.merged), unworked=kept(sheet.unworked),
        struck=kept(sheet.struck), hidden_columns=(),
    )  # fmt: skip


def _at(cells: Sequence[str], n: int) -> str:
    return cells[n] if n < len(cells) else ""


def _is_table(names: Sequence[str]) -> bool:
    """Tell whether headings are those of a table: two that are known, each once."""
    known = [name for name in names if any(heading_likeness(name, r) >= _KNOWN for r in ROLES)]
    return len(set(names)) == len(names) and len(known) >= 2


def _apart(titles: Sequence[str], sheet: ListSheet, at: int) -> tuple[int, ...]:
    """Return where tables with headings of their own begin, an empty column between them."""
    if sum(heading_likeness(title, "number") >= _KNOWN for title in titles if title) < 2:
        return ()
    body = [cells for _, cells in sheet.rows[at + 1 :]][:300]
    width = len(titles)
    empty = [
        n
        for n in range(1, width - 1)
        if not titles[n] and not any(n < len(cells) and cells[n] for cells in body)
    ]
    starts = [0]
    for n in empty:
        left, right = titles[starts[-1] : n], titles[n + 1 :]
        if all(
            sum(map(bool, side)) >= 3 and any(heading_likeness(t, "number") >= _KNOWN for t in side)
            for side in (left, right)
        ):
            starts.append(n + 1)
    return tuple(starts) if len(starts) > 1 else ()


def _block(sheet: ListSheet, head: int, first: int, last: int) -> ListSheet:
    """Return the columns of a sheet from `first` to before `last` as a sheet.

    A text of its own above the headings names what stands below them: it goes below.
    """
    rows = [
        (number, cells[first:last]) for number, cells in sheet.rows[head:] if any(cells[first:last])
    ]
    if head:
        number, above = sheet.rows[head - 1]
        texts = [text for text in above[first:last] if text]
        if len(texts) == 1 and sum(map(bool, above)) > 1:
            (titled, titles), *rest = rows
            rows = [(number, titles), (titled, (texts[0],)), *rest]
    return replace(
        sheet,
        rows=tuple(rows),
        merged=_shifted(sheet.merged, first, last),
        unworked=_shifted(sheet.unworked, first, last),
        struck=_shifted(sheet.struck, first, last),
        hidden_columns=tuple(n - first for n in sheet.hidden_columns if first < n <= last),
    )


def _shifted(
    cells: frozenset[tuple[int, int]], first: int, last: int
) -> frozenset[tuple[int, int]]:
    return frozenset((row, at - first) for row, at in cells if first <= at < last)
