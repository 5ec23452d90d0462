"""Tables of a report: figures under each other, told line by line where a page is too narrow."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from typing import Final

from rich.box import SIMPLE_HEAD
from rich.console import Console, ConsoleOptions, RenderableType, RenderResult
from rich.table import Column, Table
from rich.text import Text

from fitsolver.reporting.bars import bar, bar_width
from fitsolver.reporting.layout import (
    INDENT,
    LEAST_TEXT,
    Block,
    Fitting,
    Indented,
    Kind,
    Told,
    text,
    width_of,
)

#: The part left of a whole, both in the same unit; None = not known.
Left = tuple[int, int] | None
#: Blanks between columns.
_GAP: Final = 2
_NUMBER: Final = re.compile(r"[+-]?\d+(?:\.(\d+))?")


def table(
    columns: Sequence[tuple[str, Kind]], rows: Iterable[Sequence[str]], bars: Sequence[Left] = ()
) -> RenderableType:
    """Return a table of columns (header, kind); a newline in a header or cell breaks the line.

    Figures of a column stand with their points one below the other. Where a page is too narrow
    for the columns, every row is told line by line, each cell behind its header. `bars` (one a row)
    are drawn behind the rows on a terminal with colours that has room for them.
    """
    cells = [[text(cell) for cell in row] for row in rows]
    plain = tuple(tuple(cell.plain for cell in row) for row in cells)
    shown = [[text(cell) for cell in row] for row in _at_the_point(columns, plain)]
    wide = [
        width_of([text(header), *(row[place] for row in shown)])
        for place, (header, _) in enumerate(columns)
    ]
    kinds = [kind for _, kind in columns]
    least = _GAP * (len(columns) - 1) + sum(map(_least, wide, kinds))
    grid: RenderableType = _grid(columns, wide, shown)
    if any(bar is not None for bar in bars):
        grid = _Barred(grid, lambda: _grid(columns, wide, shown), sum(wide) + 2 * len(wide), bars)
    told = Told(_headers(columns), plain)
    return Indented(Fitting(grid, least, told), block=Block("table", plain, tuple(columns)))


def _grid(
    columns: Sequence[tuple[str, Kind]], wide: Sequence[int], rows: Sequence[Sequence[Text]]
) -> Table:
    grid = Table(box=SIMPLE_HEAD, show_edge=False, padding=(0, 1, 0, 0), pad_edge=False)
    for (header, kind), width in zip(columns, wide, strict=True):
        grid.add_column(
            text(header),
            justify="right" if kind == "figure" else "left",
            no_wrap=kind != "text",
            width=None if kind == "text" else width,
            overflow="fold",
            vertical="top",
        )
    for row in rows:
        grid.add_row(*row)
    return grid


class _Barred:
    """A grid with bars behind its rows, where there are colours and room; else without."""

    def __init__(
        self, bare: RenderableType, grid: Callable[[], Table], wide: int, bars: Sequence[Left]
    ) -> None:
        self._bare, self._grid, self._wide, self._bars = bare, grid, wide, bars

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        room = bar_width(options.max_width, self._wide)
        if console.color_system is None or console.no_color or not room:
            yield self._bare
            return
        grid = self._grid()
        cells = [
            "" if of is None else bar(*of, room, encoding=options.encoding) for of in self._bars
        ]
        grid.columns.append(
            Column(
                "", _index=len(grid.columns), _cells=[*cells], no_wrap=True, width=room,
                style="green",
            )
        )  # fmt: skip
        yield grid


def columns_needed(columns: Sequence[tuple[str, Kind]], rows: Sequence[Sequence[str]]) -> int:
    """Return the columns of a page that a table needs, so as not to be told line by line."""
    wide = (
        _least(width_of([text(header), *(text(row[place]) for row in rows)]), kind)
        for place, (header, kind) in enumerate(columns)
    )
    return INDENT + sum(wide) + _GAP * (len(columns) - 1)


def _least(wide: int, kind: Kind) -> int:
    return min(wide, LEAST_TEXT) if kind == "text" else wide


def _at_the_point(
    columns: Sequence[tuple[str, Kind]], rows: tuple[tuple[str, ...], ...]
) -> list[list[str]]:
    """Return the cells with blanks behind figures of fewer decimals than others of their column."""
    shown = [list(row) for row in rows]
    for place, (_, kind) in enumerate(columns):
        numbers = {row[place]: _NUMBER.fullmatch(row[place]) for row in rows if len(row) > place}
        behind = {cell: len(found[1] or "") for cell, found in numbers.items() if found}
        most = max(behind.values(), default=0)
        if kind == "figure" and most:
            for row in shown:
                row[place] += " " * (most - behind.get(row[place], most))
    return shown


def _headers(columns: Sequence[tuple[str, Kind]]) -> list[str]:
    """Return headers of one line; one that only goes on below another's has that one's words."""
    found, above = [], ""
    for header, _ in columns:
        first, _, rest = header.partition("\n")
        above = first if rest and first else above if rest else ""
        found.append(f"{above} {rest}".strip() if rest else header)
    return found
