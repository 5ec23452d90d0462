"""Rule `clearance`: bore minus skirt size, on diameter, inside its window.

The bore's local sizes lie within `half_width` of the finish size, the skirt within its
tolerance; every combination must hold (plain interval arithmetic).
"""

from __future__ import annotations

from fitsolver.records.base import Range
from fitsolver.records.windows import Limits


def finish_bounds(skirt: Range, limits: Limits, half_width: int) -> tuple[int | None, int | None]:
    """Return the lowest and highest finish size (ticks) that hold for every skirt in range.

    `low = P_hi + c_lo + h`, `high = P_lo + c_hi - h`; None where the window is open.
    """
    low = None if limits.low is None else skirt.high + limits.low + half_width
    high = None if limits.high is None else skirt.low + limits.high - half_width
    return low, high


def clearance(bore_low: int, bore_high: int, skirt: Range) -> Range:
    """Return the least and most clearance (ticks) of any local size with any skirt in range."""
    return Range(low=bore_low - skirt.high, high=bore_high - skirt.low)
