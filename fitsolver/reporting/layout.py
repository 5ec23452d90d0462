"""How a report is laid out: headings, tables, lists. Colour is an extra, never the carrier.

Texts from files are shown as they are: no markup in them is obeyed, and control characters
are shown as dots, so that a part number cannot move the cursor or colour a line.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from io import StringIO
from typing import Final, Literal

from rich.box import SIMPLE_HEAD
from rich.cells import cell_len
from rich.console import Console, ConsoleOptions, RenderableType, RenderResult
from rich.segment import Segment
from rich.table import Column, Table
from rich.text import Text

from fitsolver.reporting.bars import bar, bar_width

#: What a column holds: a figure (right, never broken), a word (left, never broken), or text
#: that may take as many lines as it needs.
Kind = Literal["figure", "word", "text"]
#: The kinds of report parts, for any display.
Form = Literal["title", "heading", "table", "pairs", "bullets", "line"]
#: The part left of a whole, both in the same unit; None = not known.
Left = tuple[int, int] | None
#: Columns of a screen, for which reports are made.
SCREEN: Final = 80
#: Lines of a screen: an answer takes no more.
SCREEN_LINES: Final = 24
_INDENT: Final = 2
#: Blanks between columns.
_GAP: Final = 2
_LONGEST_LINE: Final = 76
#: Columns that a text needs at least to be read.
_LEAST_TEXT: Final = 12
_NUMBER: Final = re.compile(r"[+-]?\d+(?:\.(\d+))?")


@dataclass(frozen=True, slots=True)
class Block:
    """A part of a report as plain text, for a display other than a terminal.

    `columns` are a table's headers with their kinds; `rows` are its cells, a list's label and
    text, or the one cell of a heading, a bullet or a line.
    """

    form: Form
    rows: tuple[tuple[str, ...], ...]
    columns: tuple[tuple[str, Kind], ...] = ()
    style: str = ""


def text(content: str, style: str = "") -> Text:
    """Return a text that is shown as it stands; characters that cannot be printed become dots."""
    shown = "".join(c if c.isprintable() or c == "\n" else "·" for c in content)
    return Text(shown, style=style, overflow="fold")


def title(content: str) -> RenderableType:
    """Return the title of a report."""
    return _underlined(text(content, "bold"), "=", "title")


def heading(content: str) -> RenderableType:
    """Return a heading, underlined so that it is seen without colour."""
    return _underlined(text(content, "bold"), "-", "heading", "\n")


def _underlined(shown: Text, line: str, form: Form, before: str = "") -> RenderableType:
    underline = line * min(shown.cell_len, _LONGEST_LINE)
    whole = Text.assemble(before, shown, "\n", underline, overflow="fold")
    return Indented(whole, 0, Block(form, ((shown.plain,),)))


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
        _width([text(header), *(row[place] for row in shown)])
        for place, (header, _) in enumerate(columns)
    ]
    kinds = [kind for _, kind in columns]
    least = _GAP * (len(columns) - 1) + sum(map(_least, wide, kinds))
    grid: RenderableType = _grid(columns, wide, shown)
    if any(bar is not None for bar in bars):
        grid = _Barred(grid, lambda: _grid(columns, wide, shown), sum(wide) + 2 * len(wide), bars)
    told = _Told(_headers(columns), plain)
    return Indented(_Fitting(grid, least, told), block=Block("table", plain, tuple(columns)))


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
        _least(_width([text(header), *(text(row[place]) for row in rows)]), kind)
        for place, (header, kind) in enumerate(columns)
    )
    return _INDENT + sum(wide) + _GAP * (len(columns) - 1)


def _least(wide: int, kind: Kind) -> int:
    return min(wide, _LEAST_TEXT) if kind == "text" else wide


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


class _Fitting:
    """A grid, or what stands for it on a page that is narrower than the least it needs."""

    def __init__(self, grid: RenderableType, least: int, narrow: RenderableType) -> None:
        self._grid, self._least, self._narrow = grid, least, narrow

    def __rich_console__(self, _: Console, options: ConsoleOptions) -> RenderResult:
        yield self._grid if options.max_width >= self._least else self._narrow


class _Told:
    """The rows of a table one below the other, each cell behind its header."""

    def __init__(self, headers: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
        self._headers, self._rows = headers, list(rows)

    def __rich_console__(self, _: Console, __: ConsoleOptions) -> RenderResult:
        for row in self._rows:
            for place, (header, cell) in enumerate(zip(self._headers, row, strict=False)):
                if cell:
                    said = " ".join(cell.split("\n"))
                    before = "" if not place else "  "
                    yield text(f"{before}{header}: {said}" if header else f"{before}{said}")


def pairs(rows: Iterable[tuple[str, str]]) -> RenderableType:
    """Return lines of a label and what it says."""
    return _hanging([(text(label), text(said)) for label, said in rows], gap=2, form="pairs")


def bullets(lines: Iterable[str]) -> RenderableType:
    """Return lines, each behind a hyphen, hanging where they take more than one line."""
    return _hanging([(text("-"), text(line)) for line in lines], gap=1, form="bullets")


def _hanging(rows: Sequence[tuple[Text, Text]], gap: int, form: Form) -> RenderableType:
    grid = Table.grid(padding=(0, gap, 0, 0))
    width = _width([label for label, _ in rows])
    grid.add_column(no_wrap=True, width=width, overflow="fold")
    grid.add_column(overflow="fold")
    for row in rows:
        grid.add_row(*row)
    plain = tuple((label.plain, said.plain) for label, said in rows)
    told = _Told(["", ""], plain)
    return Indented(_Fitting(grid, width + gap + _LEAST_TEXT, told), block=Block(form, plain))


def _width(cells: Iterable[Text]) -> int:
    """Return the columns that the widest line needs: a table that is told need not measure."""
    return max((cell_len(line) for cell in cells for line in cell.plain.split("\n")), default=0)


class Indented:
    """Something set in from the left, its lines without blanks at their ends."""

    def __init__(self, part: RenderableType, by: int = _INDENT, block: Block | None = None) -> None:
        self._part, self._by = part, by
        self.block = block

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        narrower = options.update_width(max(1, options.max_width - self._by))
        for line in console.render_lines(self._part, narrower, pad=False):
            while line and not line[-1].text.strip():
                line.pop()
            if line:
                last, style, control = line.pop()
                yield Segment(" " * self._by)
                yield from line
                yield Segment(last.rstrip(), style, control)
            yield Segment.line()


def as_many(
    build: Callable[[int], list[RenderableType]], most: int, room: int, least: int = 1
) -> list[RenderableType]:
    """Return what `build` makes of as many entries as `room` lines hold, `least` in any case.

    Every entry takes a line or more.
    """
    for shown in range(min(most, max(room, 0)), least, -1):
        parts = build(shown)
        if lines_of(parts) <= room:
            return parts
    return build(min(most, least))


def lines_of(parts: Iterable[RenderableType], width: int = SCREEN) -> int:
    """Return how many lines parts of a report take on a page `columns` wide."""
    out = StringIO()
    Console(width=width, file=out, no_color=True).print(Page(*parts))
    return out.getvalue().count("\n")


class Page:
    """A whole report, without the blanks that tables leave at line ends."""

    def __init__(self, *parts: RenderableType) -> None:
        # A bare string would be searched for figures to colour.
        shown = (text(part) if isinstance(part, str) else part for part in parts)
        self._parts = [part if isinstance(part, Indented) else _as_line(part, 0) for part in shown]

    def blocks(self) -> Iterator[Block]:
        """Yield the parts that say something, in their order."""
        for part in self._parts:
            if part.block is not None and any(map(any, part.block.rows)):
                yield part.block

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        for part in self._parts:  # each by itself: what is rendered inside another is cut twice
            yield from part.__rich_console__(console, options)


def indented(line: str, style: str = "") -> RenderableType:
    """Return a paragraph at the indent of tables and lists."""
    return _as_line(text(line, style), _INDENT)


def _as_line(part: RenderableType, by: int) -> Indented:
    """Return a paragraph; what is no text (another renderer's work) has no plain form."""
    block = (
        Block("line", ((part.plain,),), style=str(part.style)) if isinstance(part, Text) else None
    )
    return Indented(part, by, block)
