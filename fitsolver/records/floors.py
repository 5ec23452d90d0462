"""What physics forbids, whatever a window says (docs/decision.md, 'What physics forbids')."""

from __future__ import annotations

from typing import Final

from fitsolver.records.base import FitName
from fitsolver.records.windows import Limits

#: The least value (ticks) of a fit: a skirt is no larger than its bore, a ring goes into its
#: groove, ring ends do not meet, a piston does not touch the head. No guard is taken off.
FLOORS: Final[dict[FitName, int]] = {
    "clearance": 0,
    "end_gap": 1,
    "side_clearance": 0,
    "squish": 1,
}


def floor_of(fit: FitName, low: int | None) -> int | None:
    """Return the least value (ticks) of a fit that physics permits; None = any.

    `low` is the lowest value that the window in force states (None: none). A clearance stated
    below 0 is that of a coated skirt and taken as it stands.
    """
    if fit == "clearance" and low is not None and low < 0:
        return None
    return FLOORS.get(fit)


def in_force(fit: FitName, limits: Limits) -> Limits:
    """Return a guarded window with its lowest value nowhere below what physics permits."""
    floor = floor_of(fit, limits.low)
    if floor is None:
        return limits
    return limits._replace(low=floor if limits.low is None else max(limits.low, floor))
