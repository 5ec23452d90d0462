"""Rule `form`: out-of-round and taper of a bore that is left as it is.

A machined bore's form is within the half-width of its route; one left as it is keeps what
was measured (two-point sizes, ISO 14405-1).
"""

from __future__ import annotations

from fitsolver.records.windows import Limits


def holds(value: int, limits: Limits) -> bool:
    """Tell whether an out-of-round or the size of a taper (ticks) is inside its window."""
    return (limits.low is None or value >= limits.low) and (
        limits.high is None or value <= limits.high
    )
