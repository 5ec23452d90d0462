"""Rule `bore_limit`: no local size afterwards above the largest permitted bore."""

from __future__ import annotations


def left_to_limit(limit: int, bore_high: int) -> int:
    """Return how far (ticks) the largest local size stays below the limit."""
    return limit - bore_high
