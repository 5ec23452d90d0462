"""Figures on paper: rounded so that what is read is never looser than the plan.

A lowest permitted value is rounded up and a highest one down; of what is to be expected the
least is rounded down and the most up; slack, and metal that is left, is rounded down.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Final, NamedTuple

from fitsolver.base.lengths import (
    PLACES,
    TICKS_PER,
    Side,
    Unit,
    ceil,
    floor,
    format_length,
    places_of,
    shop_step,
)
from fitsolver.records.amounts import amount
from fitsolver.records.base import THOUSANDTHS

if TYPE_CHECKING:
    from fitsolver.records.plan import Fit, OddsOf

#: Decimals at which lengths a tick apart differ on paper.
_MOST_PLACES: Final[dict[Unit, int]] = {"mm": 5, "um": 2, "in": 7, "thou": 4}
NONE: Final = "-"


@dataclass(frozen=True, slots=True)
class Figures:
    """Writes lengths (ticks of 10 nm) in one unit; None is written as a dash."""

    unit: Unit

    @property
    def symbol(self) -> str:
        return format_length(0, self.unit, symbol=True).split(" ")[1]

    def near(self, ticks: int | None, *, sign: bool = False) -> str:
        """Return a measured or nominal length, rounded to the nearest."""
        return self._write(ticks, "nearest", sign)

    def stated(self, low: int | None, high: int | None = None) -> str:
        """Return a skirt or a gauge's zero, or its range: with the decimal more of its grade."""
        ends = [each for each in (low, high) if each is not None]
        places = places_of(ends, self.unit)
        return (
            " to ".join(dict.fromkeys(self._write(each, "nearest", False, places) for each in ends))
            or NONE
        )

    def up(self, ticks: int | None, *, sign: bool = False) -> str:
        """Return a lowest permitted value, or the most to expect."""
        return self._write(ticks, "up", sign)

    def down(self, ticks: int | None, *, sign: bool = False) -> str:
        """Return a highest permitted value, the least to expect, or a slack."""
        return self._write(ticks, "down", sign)

    def expected(self, least: int, most: int, *, sign: bool = False) -> str:
        """Return a range to expect, rounded outwards; one figure when its ends are one."""
        if least == most:
            return self.near(least, sign=sign)
        return f"{self.down(least, sign=sign)} to {self.up(most, sign=sign)}"

    def nominal(self, low: int, high: int) -> str:
        """Return a range as stated or measured; one figure when its ends are one."""
        return self.near(low) if low == high else f"{self.near(low)} to {self.near(high)}"

    def permitted(
        self, low: int | None, high: int | None, *, sign: bool = False, places: int | None = None
    ) -> tuple[str, str]:
        """Return the lowest rounded up and the highest rounded down.

        Where workshop decimals (or `places`) would put the lowest above the highest, more are
        shown; where none help (an inch figure between two decimals) both are the nearest.
        """
        grid = self._grid(low, high, self._usual_places() if places is None else places)
        if grid is None:
            most = _MOST_PLACES[self.unit]
            return self._write(low, "nearest", sign, most), self._write(high, "nearest", sign, most)
        return _on(grid, low, "up", sign), _on(grid, high, "down", sign)

    def aim(self, size: int, low: int | None, high: int | None, *, sign: bool = False) -> str:
        """Return the size to aim at, in the decimals of `permitted` and within its figures.

        Rounded up, for the plan's size is the smallest that will do, unless that would pass
        the highest permitted figure.
        """
        grid = self._grid(low, high, self._usual_places())
        if grid is None:
            return self._write(size, "nearest", sign, _MOST_PLACES[self.unit])
        text = _on(grid, size, "up", sign)
        if high is not None and size <= high and Decimal(text) > Decimal(_on(grid, high, "down")):
            return _on(grid, size, "down", sign)
        return text

    def _grid(self, low: int | None, high: int | None, usual: int) -> _Grid | None:
        """Return the coarsest grid on which the lowest figure does not lie above the highest.

        Half tenths of a thousandth of an inch come after tenths, for a dial is read in them.
        """
        for grid in _grids(self.unit, usual):
            if low is None or high is None or low > high:
                return grid
            if Decimal(_on(grid, low, "up")) <= Decimal(_on(grid, high, "down")):
                return grid
        return None

    def _write(self, ticks: int | None, side: Side, sign: bool, places: int | None = None) -> str:
        if ticks is None:
            return NONE
        return format_length(ticks, self.unit, side, sign=sign, places=places)

    def fit(self, line: Fit) -> tuple[str, ...]:
        """Return lowest, highest, least, most and both slacks of a fit, each to the safe side.

        A fit that holds never reads like one that does not: a value that rounding would put
        outside the edge it keeps (guard taken off) is written as that edge. One decimal more is
        shown where the window is stated in it. Where a row has negative values, each has its sign.
        """
        if line.fit in THOUSANDTHS:
            edges = (line.low, line.high, line.least, line.most, line.slack_low, line.slack_high)
            return tuple(thousandths(figure) for figure in edges)
        grid = self._stated_grid(line)
        signs = any(value is not None and value < 0 for value in (line.low, line.least))
        guard = Decimal(_on(grid, line.guard, "up"))
        return _as_held(line, _fit(line, grid, signs), guard, signs)

    def edge(self, line: Fit, figure: int, side: Side) -> str:
        """Return a figure of a fit, rounded to a side; degrees and ratios as they are."""
        if line.fit in THOUSANDTHS:
            return thousandths(figure)
        return self._write(figure, side, False)

    def _stated_grid(self, line: Fit) -> _Grid:
        """Return the grid that the edges of a window are stated on: the usual, or the next one."""
        usual, *finer = _grids(self.unit, self._usual_places())
        edges = [edge for edge in (line.low, line.high) if edge is not None]
        for grid in (usual, *(each for each in finer if each.places == usual.places + 1)):
            if all((edge / grid.step).denominator == 1 for edge in edges):
                return grid
        return usual

    def _usual_places(self) -> int:
        return PLACES[self.unit]


class _Grid(NamedTuple):
    """Steps (ticks) that figures are rounded to, and the decimals they take in a unit."""

    unit: Unit
    step: Fraction
    places: int


@cache
def _grids(unit: Unit, usual: int) -> tuple[_Grid, ...]:
    """Return the grids of a unit, those of `usual` decimals first."""
    grids = [
        _Grid(unit, Fraction(TICKS_PER[unit], 10**places), places)
        for places in range(usual, _MOST_PLACES[unit] + 1)
    ]
    if unit in ("in", "thou") and usual == PLACES[unit]:
        grids.insert(1, _Grid(unit, Fraction(shop_step(unit), 2), usual + 1))
    return tuple(grids)


def _on(grid: _Grid, ticks: int | None, side: Side, sign: bool = False) -> str:
    if ticks is None:
        return NONE
    steps = ceil(ticks / grid.step) if side == "up" else floor(ticks / grid.step)
    figure = steps * grid.step * 10**grid.places / TICKS_PER[grid.unit]
    text = Decimal(figure.numerator).scaleb(-grid.places)  # a whole number of its last decimal
    return f"{text:{'+' if sign and steps else ''}f}"


def _fit(line: Fit, grid: _Grid, signs: bool) -> tuple[str, ...]:
    return (
        _on(grid, line.low, "up", signs),
        _on(grid, line.high, "down", signs),
        _on(grid, line.least, "down", signs),
        _on(grid, line.most, "up", signs),
        _on(grid, line.slack_low, "down"),
        _on(grid, line.slack_high, "down"),
    )


def _as_held(line: Fit, cells: tuple[str, ...], guard: Decimal, signs: bool) -> tuple[str, ...]:
    """Return the cells of a fit with its values within the edges, on the sides it keeps."""
    low, high, least, most, below, above = cells
    sign = "+" if signs else ""
    if line.slack_low is not None and line.slack_low >= 0:
        least = max(least, f"{Decimal(low) + guard:{sign}f}", key=Decimal)
    if line.slack_high is not None and line.slack_high >= 0:
        most = min(most, f"{Decimal(high) - guard:{sign}f}", key=Decimal)
    return low, high, least, most, below, above


def thousandths(figure: int | None) -> str:
    """Return degrees of crank or a ratio, exactly; None is a dash."""
    return NONE if figure is None else f"{Decimal(figure).scaleb(-3):f}"


def odds(probability: float) -> str:
    """Return a probability in per cent, rounded down to a tenth."""
    return f"{int(probability * 1000) / 10:.1f} %"


def likely(probability: float, of: OddsOf | None) -> str:
    """Return how likely it is that fits conform, and of what where that is not the whole bore."""
    places = " at the places read" if of == "places read" else ""
    return f"{odds(probability)} likely{places}"


def money(hundredths: int | None, currency: str = "") -> str:
    """Return an amount of money, with its currency where one is given; None is a dash."""
    return NONE if hundredths is None else f"{amount(hundredths)} {currency}".rstrip()
