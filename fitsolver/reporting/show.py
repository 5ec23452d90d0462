"""How figures are written: unit, rounding side, decimals, money."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from rich import box
from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from fitsolver.lengths import Side, Unit, format_length
from fitsolver.records.base import Range
from fitsolver.reporting.amounts import amount

NONE: Final = "-"
_MOST_PLACES: Final = 7
Justify = Literal["left", "right"]


@dataclass(frozen=True, slots=True)
class Show:
    """Writes lengths in one unit. What must not be undercut is rounded up, and the reverse."""

    unit: Unit

    @property
    def symbol(self) -> str:
        return "µm" if self.unit == "um" else self.unit

    @property
    def words(self) -> str:
        """The unit spelled out."""
        return {"in": "inches", "thou": "thousandths of an inch"}.get(self.unit, self.symbol)

    def size(self, ticks: int | None, side: Side = "nearest", *, sign: bool = False) -> str:
        """Return a length without its unit; a dash where there is none."""
        return NONE if ticks is None else format_length(ticks, self.unit, side, sign=sign)

    def said(self, ticks: int, side: Side = "nearest") -> str:
        """Return a length with its unit."""
        return format_length(ticks, self.unit, side, symbol=True)

    def permitted(self, low: int | None, high: int | None) -> tuple[str, str]:
        """Return a lowest permitted value rounded up and a highest one rounded down.

        With more decimals than usual where rounding would leave nothing in between.
        """
        if low is None or high is None:
            return self.size(low, "up"), self.size(high, "down")
        for places in (None, *range(_MOST_PLACES + 1)):
            low_text = format_length(low, self.unit, "up", places=places)
            high_text = format_length(high, self.unit, "down", places=places)
            usual = format_length(low, self.unit, "up")
            if len(low_text) >= len(usual) and float(low_text) <= float(high_text):
                break
        return low_text, high_text

    def window(self, low: int | None, high: int | None) -> str:
        """Return a window: `a to b`, `from a`, `up to b`."""
        low_text, high_text = self.permitted(low, high)
        if low is None:
            return NONE if high is None else f"up to {high_text}"
        return f"from {low_text}" if high is None else f"{low_text} to {high_text}"

    def expected(
        self, least: int, most: int, low: int | None = None, high: int | None = None
    ) -> str:
        """Return a range of values to expect: the least rounded down, the most up.

        A value that keeps to its window (`low`, `high`) is not shown beyond the window's edge
        as that is shown, where only rounding would put it there.
        """
        if least == most:
            return self.size(least)
        down, up = self.size(least, "down"), self.size(most, "up")
        low_text, high_text = self.permitted(low, high)
        if low is not None and least >= low:
            down = max(down, low_text, key=float)
        if high is not None and most <= high:
            up = min(up, high_text, key=float)
        return f"{down} to {up}"

    def between(self, value: Range) -> str:
        """Return a measured or stated range; one figure where it is known."""
        if value.known:
            return self.size(value.low)
        return f"{self.size(value.low)} to {self.size(value.high)}"


def money(hundredths: int, currency: str = "") -> str:
    """Return an amount with two decimals and its currency."""
    text = amount(hundredths)
    return f"{text} {currency}" if currency else text


def table(columns: Iterable[str], *, right: Sequence[str] = ()) -> Table:
    """Return an empty table; the columns named in `right` are set flush right."""
    found = Table(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False, padding=(0, 1, 0, 0))
    for column in columns:  # a figure is never cut short: what is too wide folds
        justify: Justify = "right" if column in right else "left"
        found.add_column(column, justify=justify, no_wrap=True, overflow="fold")
    return found


def facts(rows: Iterable[tuple[str, str]]) -> RenderableType:
    """Return lines of a word and what belongs to it."""
    found = Table.grid(padding=(0, 2, 0, 0))
    found.add_column(no_wrap=True, style="dim")
    found.add_column()
    for word, text in rows:
        found.add_row(word, Text(text))
    return Padding(found, (0, 0, 0, 2))


def heading(text: str) -> Text:
    return Text(f"\n{text}", style="bold")


def bullets(lines: Iterable[str]) -> RenderableType:
    """Return sentences as a list that wraps under itself."""
    found = Table.grid(padding=(0, 1, 0, 0))
    found.add_column(no_wrap=True)
    found.add_column()
    for line in lines:
        found.add_row(" *", Text(line))
    return found


def page(parts: Iterable[RenderableType | None]) -> Group:
    return Group(*(part for part in parts if part is not None))
