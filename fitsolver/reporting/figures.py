"""Figures on paper: rounded so that what is read is never looser than the plan.

A lowest permitted value is rounded up and a highest one down; of what is to be expected the
least is rounded down and the most up; slack, and metal that is left, is rounded down.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from fitsolver.lengths import Side, Unit, format_length

_PLACES: Final[dict[Unit, int]] = {"mm": 3, "um": 1, "in": 5, "thou": 2}
#: Decimals at which two lengths a tick apart differ on paper, in the finest case.
_MOST_PLACES: Final[dict[Unit, int]] = {"mm": 5, "um": 2, "in": 7, "thou": 4}
_SYMBOLS: Final[dict[Unit, str]] = {"mm": "mm", "um": "µm", "in": "in", "thou": "thou"}


@dataclass(frozen=True, slots=True)
class Figures:
    """Writes lengths (ticks of 10 nm) in one unit; None is written as `none`."""

    unit: Unit
    none: str = "-"

    @property
    def symbol(self) -> str:
        return _SYMBOLS[self.unit]

    def near(self, ticks: int | None, *, sign: bool = False) -> str:
        """A measured or nominal length, rounded to the nearest."""
        return self._write(ticks, "nearest", sign)

    def up(self, ticks: int | None, *, sign: bool = False) -> str:
        """A lowest permitted value, or the most to expect."""
        return self._write(ticks, "up", sign)

    def down(self, ticks: int | None, *, sign: bool = False) -> str:
        """A highest permitted value, the least to expect, a slack."""
        return self._write(ticks, "down", sign)

    def expected(self, least: int, most: int) -> str:
        """A range to expect, rounded outwards; one figure when the ends are one."""
        if least == most:
            return self.near(least)
        return f"{self.down(least)} to {self.up(most)}"

    def nominal(self, low: int, high: int) -> str:
        """A range as given by a maker or as measured; one figure when the ends are one."""
        return self.near(low) if low == high else f"{self.near(low)} to {self.near(high)}"

    def permitted(self, low: int | None, high: int | None) -> tuple[str, str]:
        """Lowest rounded up and highest rounded down, with the decimals that keeps them apart.

        Where workshop decimals would put the lowest above the highest, more decimals are
        shown; where no decimals do, the nearest figures.
        """
        low_text, high_text, _ = self.aimed(low, high, None)
        return low_text, high_text

    def aimed(
        self, low: int | None, high: int | None, aim: int | None, *, sign: bool = False
    ) -> tuple[str, str, str]:
        """`permitted` with the size to aim at between the two, in the same decimals.

        The aim is rounded up: it is the smallest size that will do, and metal taken does
        not come back. It stays within the figures beside it.
        """
        ends = [end for end in (low, high) if end is not None]
        floor = max(ends) if aim is None and ends else aim
        places = self._places(low if low is not None else floor, high)
        exact = places > _MOST_PLACES[self.unit]
        places = min(places, _MOST_PLACES[self.unit])

        def write(ticks: int | None, side: Side) -> str:
            if ticks is None:
                return self.none
            side = "nearest" if exact else side
            return format_length(ticks, self.unit, side, places=places, sign=sign)

        return write(low, "up"), write(high, "down"), write(aim, "up")

    def _places(self, low: int | None, high: int | None) -> int:
        places = _PLACES[self.unit]
        if low is None or high is None or low > high:
            return places
        while places <= _MOST_PLACES[self.unit]:
            lowest = format_length(low, self.unit, "up", places=places)
            highest = format_length(high, self.unit, "down", places=places)
            if float(lowest) <= float(highest):
                break
            places += 1
        return places

    def _write(self, ticks: int | None, side: Side, sign: bool) -> str:
        return self.none if ticks is None else format_length(ticks, self.unit, side, sign=sign)


def money(hundredths: int | None, currency: str = "") -> str:
    """Write an amount of money, with its currency where one is given."""
    if hundredths is None:
        return "-"
    whole, part = divmod(hundredths, 100)
    return f"{whole}.{part:02d} {currency}".rstrip()
