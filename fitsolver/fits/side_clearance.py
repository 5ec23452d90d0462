"""Rule `side_clearance`: ring groove width minus ring width."""

from __future__ import annotations

from fitsolver.records.base import Range
from fitsolver.records.windows import Limits


def side_clearance(groove: Range, ring: Range) -> Range:
    """Return the least and most side clearance (ticks)."""
    return Range(low=groove.low - ring.high, high=groove.high - ring.low)


def holds(groove: Range, ring: Range, limits: Limits) -> bool:
    """Tell whether the ring fits the groove; without a lower edge it must at least go in."""
    value = side_clearance(groove, ring)
    low = 0 if limits.low is None else limits.low
    return value.low >= low and (limits.high is None or value.high <= limits.high)
