"""Rule `clearance`: bore minus skirt size, on diameter, inside its window.

The bore's local sizes lie within `half_width` of the finish size, the skirt within its
tolerance; every combination must hold (plain interval arithmetic).
"""

from __future__ import annotations

from fitsolver.records.base import Range


def clearance(bore_low: int, bore_high: int, skirt: Range) -> Range:
    """Return the least and most clearance (ticks) of any local size with any skirt in range."""
    return Range(low=bore_low - skirt.high, high=bore_high - skirt.low)
