"""Hot fits: clearance and end gap of running parts, from their cold sizes at 20 °C.

Linear thermal expansion (ISO 1 sets the reference of 20 °C). Reported and warned about when
not positive; never a rule, because the temperatures are estimates.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from fitsolver.base.lengths import RATIO, floor
from fitsolver.fits.displacement import PI_ABOVE, PI_BELOW


class Growth(NamedTuple):
    """How a part grows: `expansion` in 10**-9 per kelvin, `rise` in kelvin above 20 °C."""

    expansion: int
    rise: int

    @property
    def share(self) -> Fraction:
        """Growth per unit of length."""
        return Fraction(self.expansion * self.rise, RATIO)


def hot_clearance(bore: int, skirt: int, bore_growth: Growth, piston_growth: Growth) -> int:
    """Return the running clearance (ticks, rounded down) of a bore and a skirt (ticks at 20 °C).

    `F (1 + a_bore dT_bore) - P (1 + a_piston dT_piston)`. The smallest local size with the
    largest skirt gives the least. It may be negative.
    """
    return floor(bore * (1 + bore_growth.share) - skirt * (1 + piston_growth.share))


def hot_end_gap(gap: int, bore: int, bore_growth: Growth, ring_growth: Growth) -> int:
    """Return the running end gap (ticks, rounded down) of a gap in a bore (ticks at 20 °C).

    `G + pi D (a_bore dT_bore - a_ring dT_ring)`. When it is not positive the ring's ends
    meet. The value of pi is taken from the side that makes the gap smaller.
    """
    difference = bore_growth.share - ring_growth.share
    pi = PI_BELOW if difference > 0 else PI_ABOVE
    return floor(gap + pi * bore * difference)
