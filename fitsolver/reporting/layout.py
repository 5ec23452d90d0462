"""How a report is laid out: headings, tables, lists. Colour is an extra, never the carrier.

Texts from files are shown as they are: no markup in them is obeyed, and control characters
are shown as dots, so that a part number cannot move the cursor or colour a line.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from io import StringIO
from typing import Final, Literal

from rich.cells import cell_len
from rich.console import Console, ConsoleOptions, RenderableType, RenderResult
from rich.segment import Segment
from rich.table import Table
from rich.text import Text

#: What a column holds: a figure (right, never broken), a word (left, never broken), or text
#: that may take as many lines as it needs.
Kind = Literal["figure", "word", "text"]
#: The columns of a table: header and kind of each.
Columns = tuple[tuple[str, Kind], ...]
#: The kinds of report parts, for any display.
Form = Literal["title", "heading", "table", "pairs", "bullets", "line"]
#: Columns of a screen, for which reports are made.
SCREEN: Final = 80
#: Lines of a screen: an answer takes no more.
SCREEN_LINES: Final = 24
INDENT: Final = 2
_LONGEST_LINE: Final = 76
#: Columns that a text needs at least to be read.
LEAST_TEXT: Final = 12


@dataclass(frozen=True, slots=True)
class Block:
    """A part of a report as plain text, for a display other than a terminal.

    `columns` are a table's headers with their kinds; `rows` are its cells, a list's label and
    text, or the one cell of a heading, a bullet or a line.
    """

    form: Form
    rows: tuple[tuple[str, ...], ...]
    columns: Columns = ()
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


class Fitting:
    """A grid, or what stands for it on a page that is narrower than the least it needs."""

    def __init__(self, grid: RenderableType, least: int, narrow: RenderableType) -> None:
        self._grid, self._least, self._narrow = grid, least, narrow

    def __rich_console__(self, _: Console, options: ConsoleOptions) -> RenderResult:
        yield self._grid if options.max_width >= self._least else self._narrow


class Told:
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
    width = width_of([label for label, _ in rows])
    grid.add_column(no_wrap=True, width=width, overflow="fold")
    grid.add_column(overflow="fold")
    for row in rows:
        grid.add_row(*row)
    plain = tuple((label.plain, said.plain) for label, said in rows)
    told = Told(["", ""], plain)
    return Indented(Fitting(grid, width + gap + LEAST_TEXT, told), block=Block(form, plain))


def width_of(cells: Iterable[Text]) -> int:
    """Return the columns that the widest line needs: a table that is told need not measure."""
    return max((cell_len(line) for cell in cells for line in cell.plain.split("\n")), default=0)


class Indented:
    """Something set in from the left, its lines without blanks at their ends."""

    def __init__(self, part: RenderableType, by: int = INDENT, block: Block | None = None) -> None:
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
    return _as_line(text(line, style), INDENT)


def _as_line(part: RenderableType, by: int) -> Indented:
    """Return a paragraph; what is no text (another renderer's work) has no plain form."""
    block = (
        Block("line", ((part.plain,),), style=str(part.style)) if isinstance(part, Text) else None
    )
    return Indented(part, by, block)
