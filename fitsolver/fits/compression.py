"""Compression ratio: `(swept volume + clearance volume) / clearance volume`.

Heywood, Internal Combustion Engine Fundamentals, eq. 2.1. The clearance volume with the new
parts is the one measured before, plus the area of the bore times how far the piston-to-head
distance has grown (plain geometry): the chamber and the crown are taken to keep their shape.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from fitsolver.fits.displacement import PI_ABOVE, PI_BELOW
from fitsolver.lengths import ceil, floor
from fitsolver.records.base import Range

#: A ratio is shown in so many parts of one.
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
