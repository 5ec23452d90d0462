"""How a report is laid out: headings, tables, lists. Colour is an extra, never the carrier.

Texts from files are shown as they are: no markup in them is obeyed, and control characters
are shown as dots, so that a part number cannot move the cursor or colour a line.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final, Literal

from rich.box import SIMPLE_HEAD
from rich.console import Console, ConsoleOptions, Group, RenderableType, RenderResult
from rich.padding import Padding
from rich.segment import Segment
from rich.table import Table
from rich.text import Text

#: What a column holds: a figure (right, never broken), a word (left, never broken), or text
#: that may take as many lines as it needs.
Kind = Literal["figure", "word", "text"]
_INDENT: Final = 2
_LONGEST_LINE: Final = 76


def text(content: str, style: str = "") -> Text:
    """Return a text that is shown as it stands; characters that cannot be printed become dots."""
    shown = "".join(c if c.isprintable() or c == "\n" else "·" for c in content)
    return Text(shown, style=style, overflow="fold")


def heading(title: str, line: str = "-") -> RenderableType:
    """Return a heading, underlined so that it is seen without colour."""
    shown = text(title, "bold")
    underline = line * min(shown.cell_len, _LONGEST_LINE)
    return Text.assemble("\n", shown, "\n", underline, overflow="fold")


def table(columns: Sequence[tuple[str, Kind]], rows: Iterable[Sequence[str]]) -> RenderableType:
    """Return a table of columns (header, kind); a newline in a header or cell breaks the line."""
    grid = Table(box=SIMPLE_HEAD, show_edge=False, padding=(0, 1, 0, 0), pad_edge=False)
    for header, kind in columns:
        grid.add_column(
            text(header),
            justify="right" if kind == "figure" else "left",
            no_wrap=kind != "text",
            overflow="fold",
            vertical="top",
        )
    for row in rows:
        grid.add_row(*map(text, row))
    return Padding(grid, (0, 0, 0, _INDENT), expand=False)


def pairs(rows: Iterable[tuple[str, str]]) -> RenderableType:
    """Return lines of a label and what it says."""
    grid = Table.grid(padding=(0, 2, 0, 0))
    grid.add_column(no_wrap=True, overflow="fold")
    grid.add_column(overflow="fold")
    for label, said in rows:
        grid.add_row(text(label), text(said))
    return Padding(grid, (0, 0, 0, _INDENT), expand=False)


def bullets(lines: Iterable[str]) -> RenderableType:
    """Return lines, each behind a hyphen, hanging where they take more than one line."""
    grid = Table.grid(padding=(0, 1, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for line in lines:
        grid.add_row(text("-"), text(line))
    return Padding(grid, (0, 0, 0, _INDENT), expand=False)


class Page:
    """A whole report, without the blanks that padding leaves at line ends."""

    def __init__(self, *parts: RenderableType) -> None:
        self._parts = Group(*parts)

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        for line in console.render_lines(self._parts, options, pad=False):
            while line and not line[-1].text.strip():
                line.pop()
            if line:
                text, style, control = line.pop()
                line.append(Segment(text.rstrip(), style, control))
            yield from line
            yield Segment.line()


def indented(line: str, style: str = "") -> RenderableType:
    """Return a paragraph at the indent of tables and lists."""
    return Padding(text(line, style), (0, 0, 0, _INDENT), expand=False)
