"""The gain of one more reading: how much better it fixes the largest local size of a bore."""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt
from typing import TYPE_CHECKING, Final

from fitsolver.metrology.coverage import next_place
from fitsolver.metrology.form import deciding
from fitsolver.metrology.whole_bore import layout_of
from fitsolver.records.form import NextReading, Place
from fitsolver.records.job import Cylinder, Job

if TYPE_CHECKING:
    from fitsolver.metrology.bore_parts import Floats, Layout


#: A reading is worth taking if it lowers the standard deviation below this share, and by this
#: number of ticks: half a micrometre (own choices).
_WORTH: Final = 0.95
_LEAST: Final = 50
_BETWEEN_AXES: Final = 45


def next_reading(job: Job, cylinder: Cylinder) -> NextReading | None:
    """Return where to read next, and the standard deviation of the zone's largest size before and
    after.

    The place is the one of a few candidates that lowers the deviation most; the new reading is
    assumed to equal its prediction from the others. None without a zone, where the job states how
    far the bore may lie beyond its readings, and where no reading makes the largest size surer by a
    twentieth, and by half a micrometre.
    """
    from fitsolver.metrology.uncertainty import gauge_scatter

    if cylinder.zone is None or cylinder.form_allowance or not cylinder.readings:
        return None
    readings, scatter = deciding(cylinder), gauge_scatter(job, cylinder)
    layout = layout_of(job, cylinder, readings, scatter, "whole bore")
    if layout is None:
        return None
    sizes = [float(reading.size) for reading in readings]
    found = [_brought(cylinder, layout, sizes, place, scatter.once) for place in _places(cylinder)]
    best = min(found, key=lambda each: each.then, default=None)
    if best is None or best.then > min(_WORTH * best.now, best.now - _LEAST):
        return None
    return best


def _places(cylinder: Cylinder) -> Iterator[Place]:
    """Yield the widest stretch that was not read, and across 45° where the bore reads largest."""
    if (place := next_place(cylinder)) is not None:
        yield place
    largest = max(deciding(cylinder), key=lambda reading: reading.size)
    across = (largest.angle + _BETWEEN_AXES) % 180
    if all(reading.angle != across for reading in cylinder.readings):
        yield Place(depth=largest.depth, angle=across)


def _brought(
    cylinder: Cylinder, layout: Layout, sizes: list[float], place: Place, scatter: float
) -> NextReading:
    import numpy as np

    from fitsolver.metrology.between import expected

    assert cylinder.zone is not None
    zone, read = cylinder.zone, np.array([sizes])
    depth = (place.depth - zone.top) / max(1, zone.bottom - zone.top)
    more = layout._replace(places=(*layout.places, (depth, place.angle, scatter)))
    told = expected(layout, read, depth, place.angle)
    return NextReading(
        place=place,
        now=_deviation(layout, read),
        then=_deviation(more, np.append(read, told[:, None], axis=1)),
    )


def _deviation(layout: Layout, sizes: Floats) -> float:
    """Return the standard deviation of the largest size (ticks)."""
    from fitsolver.metrology.between import whole

    ((_, found),) = whole(layout, sizes)
    mean = (found.weights * found.largest).sum(axis=1, keepdims=True)
    return sqrt(float((found.weights * (found.largest - mean) ** 2).sum()))
