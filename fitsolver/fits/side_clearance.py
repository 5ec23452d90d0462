"""Rule `side_clearance`: ring groove width minus ring width."""

from __future__ import annotations

from fitsolver.records.base import Range
from fitsolver.records.floors import in_force
from fitsolver.records.windows import Limits


def side_clearance(groove: Range, ring: Range) -> Range:
    """Return the least and most side clearance (ticks)."""
    return Range(low=groove.low - ring.high, high=groove.high - ring.low)


def holds(groove: Range, ring: Range, limits: Limits) -> bool:
    """Tell whether the ring fits the groove: inside the window, and never wider than the groove."""
    value, (low, high) = side_clearance(groove, ring), in_force("side_clearance", limits)
    return (low is None or value.low >= low) and (high is None or value.high <= high)
