"""Compression ratio: `(swept volume + clearance volume) / clearance volume`.

Heywood, Internal Combustion Engine Fundamentals, eq. 2.1. The clearance volume with the new
parts is the one measured before, plus the area of the bore times how far the piston-to-head
distance has grown (plain geometry): the chamber and the crown are taken to keep their shape.
"""

from __future__ import annotations

from fractions import Fraction
from math import isqrt
from typing import Final

from fitsolver.base.lengths import ceil, floor
from fitsolver.fits.displacement import PI_ABOVE, PI_BELOW
from fitsolver.records.base import Range

#: Steps per unit in which a ratio is shown.
_PARTS: Final = 1_000


def ratio(stroke: int, chamber: int, bore: Range, growth: Range) -> tuple[int, int] | None:
    """Return the least and the most ratio, in thousandths, rounded down and up.

    `stroke` in ticks; `chamber` is the clearance volume before, in cubic ticks; `bore` holds the
    local sizes and `growth` how far the piston-to-head distance has grown, in ticks. The ratio
    rises with the bore and falls with the growth. None where the growth leaves no volume.
    """
    least = _ratio(PI_BELOW / 4 * bore.low**2, stroke, chamber, growth.high)
    most = _ratio(PI_ABOVE / 4 * bore.high**2, stroke, chamber, growth.low)
    if least is None or most is None:
        return None
    return floor(least * _PARTS), ceil(most * _PARTS)


def _ratio(area: Fraction, stroke: int, chamber: int, growth: int) -> Fraction | None:
    clearance = chamber + area * growth
    return 1 + area * stroke / clearance if clearance > 0 else None


def smallest_bore(stroke: int, chamber: int, growth: int, low: int) -> int | None:
    """Return the smallest local size (ticks) with a ratio of `low` thousandths or more.

    `A (1000 S - (low - 1000) growth) >= (low - 1000) V`, pi from below. None where no bore has it.
    """
    above_one = low - _PARTS
    room = _PARTS * stroke - above_one * growth
    if above_one <= 0:
        return 0
    if room <= 0:
        return None
    return isqrt(ceil(4 * above_one * chamber / (PI_BELOW * room)) - 1) + 1


def largest_bore(stroke: int, chamber: int, growth: int, high: int | None) -> int | None:
    """Return the largest local size (ticks) that leaves a volume and a ratio of `high` at most.

    `high` in thousandths (None: any ratio), pi from above. None where any bore does.
    """
    if high is not None:
        above_one = max(0, high - _PARTS)
        room = _PARTS * stroke - above_one * growth
        return None if room <= 0 else isqrt(floor(4 * above_one * chamber / (PI_ABOVE * room)))
    if growth >= 0:
        return None
    return isqrt(ceil(4 * chamber / (PI_ABOVE * -growth)) - 1)
