"""Figures on paper: rounded so that what is read is never looser than the plan.

A lowest permitted value is rounded up and a highest one down; of what is to be expected the
least is rounded down and the most up; slack, and metal that is left, is rounded down.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Final

from fitsolver.base.lengths import PLACES, Side, Unit, format_length, in_unit, places_of
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
        places = self._places_needed(low, high, places)
        if places is None:
            most = _MOST_PLACES[self.unit]
            return self._write(low, "nearest", sign, most), self._write(high, "nearest", sign, most)
        return self._write(low, "up", sign, places), self._write(high, "down", sign, places)

    def aim(self, size: int, low: int | None, high: int | None, *, sign: bool = False) -> str:
        """Return the size to aim at, in the decimals of `permitted` and within its figures.

        Rounded up, for the plan's size is the smallest that will do, unless that would pass
        the highest permitted figure.
        """
        places = self._places_needed(low, high)
        if places is None:
            return self._write(size, "nearest", sign, _MOST_PLACES[self.unit])
        text = self._write(size, "up", sign, places)
        if high is not None and size <= high:
            highest = format_length(high, self.unit, "down", places=places)
            if Decimal(text) > Decimal(highest):
                return self._write(size, "down", sign, places)
        return text

    def _places_needed(
        self, low: int | None, high: int | None, usual: int | None = None
    ) -> int | None:
        """Return with how many decimals the lowest figure does not lie above the highest."""
        usual = self._usual_places() if usual is None else usual
        if low is None or high is None or low > high:
            return usual
        for places in range(usual, _MOST_PLACES[self.unit] + 1):
            lowest = format_length(low, self.unit, "up", places=places)
            highest = format_length(high, self.unit, "down", places=places)
            if Decimal(lowest) <= Decimal(highest):
                return places
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
        places = self._stated_places(line)
        signs = any(value is not None and value < 0 for value in (line.low, line.least))
        guard = Decimal(self._write(line.guard, "up", False, places))
        return _as_held(line, self._fit(line, places, signs), guard, signs)

    def edge(self, line: Fit, figure: int, side: Side) -> str:
        """Return a figure of a fit, rounded to a side; degrees and ratios as they are."""
        if line.fit in THOUSANDTHS:
            return thousandths(figure)
        return self._write(figure, side, False)

    def _fit(self, line: Fit, places: int, signs: bool) -> tuple[str, ...]:
        return (
            self._write(line.low, "up", signs, places),
            self._write(line.high, "down", signs, places),
            self._write(line.least, "down", signs, places),
            self._write(line.most, "up", signs, places),
            self._write(line.slack_low, "down", False, places),
            self._write(line.slack_high, "down", False, places),
        )

    def _stated_places(self, line: Fit) -> int:
        """Return the decimals that the edges of a window are stated in: usual ones, or one more."""
        usual = self._usual_places()
        edges = [edge for edge in (line.low, line.high) if edge is not None]
        if all(_ends_within(edge, self.unit, usual) for edge in edges):
            return usual
        return usual + all(_ends_within(edge, self.unit, usual + 1) for edge in edges)

    def _usual_places(self) -> int:
        return PLACES[self.unit]


def _ends_within(ticks: int, unit: Unit, places: int) -> bool:
    """Tell whether so many decimals hold a length exactly."""
    return bool((in_unit(ticks, unit) * 10**places).denominator == 1)


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
