"""Rule `end_gap`: the gap between the ring's ends in the bore.

`G(D) = G0 + pi (D - D0)`: the circumference grows by pi per unit of diameter (plain
geometry; the shop rule "one in diameter is three in gap"). Metal cannot be put back, so the
largest supplied gap stays below the window's top; a gap below its bottom is opened by
filing where the ring may be filed. Ends that meet seize an engine: the gap is positive always.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from fitsolver.base.lengths import ceil, floor
from fitsolver.records.base import Range
from fitsolver.records.floors import FLOORS
from fitsolver.records.windows import Limits

#: A convergent of pi's continued fraction: |pi - p/q| < 1/(25510582 q), so for every whole
#: n with 0 < |n| < q, n p/q and n pi lie between the same two whole numbers. Rounding a
#: growth of fewer than q ticks (17.25 mm on diameter) is therefore exact.
PI: Final = Fraction(5_419_351, 1_725_033)
FARTHEST: Final = PI.denominator - 1


def gap_in_bore(gap: Range, gauge_diameter: int, bore_low: int, bore_high: int) -> Range:
    """Return the least and most supplied gap (ticks) over the bore's local sizes.

    `gap` is the maker's range in a bore of `gauge_diameter`; rounded outwards.
    """
    return Range(
        low=gap.low + floor(PI * (bore_low - gauge_diameter)),
        high=gap.high + ceil(PI * (bore_high - gauge_diameter)),
    )


def bottom_of(limits: Limits) -> int | None:
    """Return the gap (ticks) that a tighter ring is filed to; None: nothing is filed."""
    return None if limits.low is None else max(limits.low, FLOORS["end_gap"])


def least_bore(limits: Limits, gap_low: int, gauge_diameter: int, file_most: int) -> int:
    """Return the smallest local size (ticks) in which a ring can have the gap it must have.

    Without a lower edge nothing is filed: then the gap as supplied must be positive.
    """
    bottom = bottom_of(limits)
    if bottom is None:
        return smallest_bore(FLOORS["end_gap"], gap_low, gauge_diameter, 0)
    return smallest_bore(bottom, gap_low, gauge_diameter, file_most)


def filing(bottom: int | None, gap_low: int, gauge_diameter: int, bore_low: int) -> int:
    """Return the most (ticks) that must be filed off a ring to open its gap to `bottom`."""
    if bottom is None:
        return 0
    grown = PI.numerator * (bore_low - gauge_diameter)  # in whole numbers: this is asked very often
    return max(0, bottom - gap_low - grown // PI.denominator)


def largest_bore(top: int, gap_high: int, gauge_diameter: int) -> int:
    """Return the largest local size (ticks) in which the widest supplied gap stays within `top`."""
    return gauge_diameter + floor((top - gap_high) / PI)


def smallest_bore(bottom: int, gap_low: int, gauge_diameter: int, file_most: int) -> int:
    """Return the smallest local size (ticks) in which filing up to `file_most` reaches `bottom`."""
    return gauge_diameter + ceil((bottom - file_most - gap_low) / PI)


def widest_spread(bottom: int, top: int) -> int:
    """Return how far apart (ticks) a bore's local sizes may lie for a ring filed to `bottom`.

    Filed where the bore is smallest, its gap is larger by pi times the spread where the bore
    is largest, and must stay within `top` there.
    """
    return floor((top - bottom) / PI)


def filed_gap(bottom: int, spread: int) -> int:
    """Return the most gap (ticks) of a ring filed to `bottom` at the smallest local size."""
    return bottom + ceil(PI * spread)


def within_reach(gauge_diameter: int, *bores: int) -> bool:
    """Tell whether the ring is near enough to the bores for `PI` to round exactly."""
    return all(abs(bore - gauge_diameter) <= FARTHEST for bore in bores)
