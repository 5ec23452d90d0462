"""Rule `bore_limit`: no local size afterwards above the largest permitted bore."""

from __future__ import annotations


def largest_finish(limit: int, half_width: int) -> int:
    """Return the largest finish size (ticks) whose largest local size keeps to `limit`."""
    return limit - half_width


def left_to_limit(limit: int, bore_high: int) -> int:
    """Return how far (ticks) the largest local size stays below the limit."""
    return limit - bore_high
