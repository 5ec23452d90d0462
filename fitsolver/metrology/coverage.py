"""The coverage of a bore by a few readings, and the best place of the next one.

Assumption: the largest local size exceeds the largest reading by at most the form allowance that
the job states. A wider stretch without a reading weakens this assumption.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Final

from fitsolver.records.form import Place
from fitsolver.records.job import Cylinder

#: A stretch without a reading is close enough below this share of the zone (own choice).
_CLOSE: Final = 5


def next_place(cylinder: Cylinder) -> Place | None:
    """Return where to read next: the middle of the widest stretch of the zone without a reading.

    On the axis that reads largest so far; where an end of the zone is unread, at that end. Bands of
    ports that do not decide are stepped over. If no stretch is wider than a fifth of the zone and
    only one axis was read, the place is across its largest reading. None without a zone or
    readings, and where two axes are read as closely.
    """
    zone = cylinder.zone
    inside = [r for r in cylinder.readings if zone is None or zone.holds(r.depth)]
    if zone is None or not inside:
        return None
    depths = sorted({reading.depth for reading in inside})
    stretches = [
        (2 * (depths[0] - zone.top), zone.top),
        (2 * (zone.bottom - depths[-1]), zone.bottom),
        *((lower - upper, (upper + lower) // 2) for upper, lower in pairwise(depths)),
    ]
    wide = [
        (length, -depth)
        for length, depth in stretches
        if length * _CLOSE > zone.bottom - zone.top and not _beside_port(cylinder, depth)
    ]
    largest = max(inside, key=lambda reading: reading.size)
    if not wide:
        if len({reading.angle for reading in inside}) > 1:
            return None
        return Place(depth=largest.depth, angle=(largest.angle + 90) % 180)
    return Place(depth=-max(wide)[1], angle=largest.angle)


def _beside_port(cylinder: Cylinder, depth: int) -> bool:
    return any(port.holds(depth) and not port.decides for port in cylinder.ports)
