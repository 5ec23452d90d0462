"""Rule `squish`: piston-to-head distance at the edge at top dead centre.

`squish = base - compression height + sum of compressed gaskets`, where the base is either
measured squish - old compressed gaskets + old compression height, or deck height - rod
length - stroke / 2 + head step (plain geometry).
"""

from __future__ import annotations

from fitsolver.records.base import Range
from fitsolver.records.floors import in_force
from fitsolver.records.job import Squish
from fitsolver.records.windows import Limits


def squish(base: Squish, compression_height: Range, stack: Range) -> Range:
    """Return the least and most squish (ticks) for a stack's compressed thickness."""
    return Range(
        low=base.base_low - compression_height.high + stack.low,
        high=base.base_high - compression_height.low + stack.high,
    )


def stack_bounds(base: Squish, compression_height: Range, limits: Limits) -> tuple[int, int | None]:
    """Return the least and the most permitted thickness of the stack, compressed (ticks).

    The first holds for the stack's least thickness, the second for its most. Regardless of the
    window, the piston must not touch the head.
    """
    low = (in_force("squish", limits).low or 0) - base.base_low + compression_height.high
    high = None if limits.high is None else limits.high - base.base_high + compression_height.low
    return low, high
