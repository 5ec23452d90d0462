"""Rule `ring_seat`: how far a ring's gauge diameter may lie over the bore it is fitted to.

A ring much larger than the bore is pulled out of round and does not seat (common practice,
no source); the ring maker's figure, or the job's window, says how much is too much.
"""

from __future__ import annotations

from fitsolver.records.base import Range
from fitsolver.records.windows import Limits


def over_bore(gauge_diameter: int, bore_low: int, bore_high: int) -> Range:
    """Return the least and most (ticks) by which the ring is over the bore."""
    return Range(low=gauge_diameter - bore_high, high=gauge_diameter - bore_low)


def bore_bounds(
    gauge_diameter: int, limits: Limits, seat_over: int | None
) -> tuple[int | None, int | None]:
    """Return the smallest and largest local size (ticks) the ring seats in; None = no bound."""
    highs = [edge for edge in (limits.high, seat_over) if edge is not None]
    low = gauge_diameter - min(highs) if highs else None
    high = None if limits.low is None else gauge_diameter - limits.low
    return low, high
