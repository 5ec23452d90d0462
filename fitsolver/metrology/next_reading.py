"""What one more reading would tell of the largest local size of a bore."""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

from fitsolver.metrology.coverage import next_place
from fitsolver.metrology.form import deciding
from fitsolver.metrology.whole_bore import layout_of
from fitsolver.records.form import Place
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import NextReading

if TYPE_CHECKING:
    from fitsolver.metrology.bore_parts import Floats, Layout


def next_reading(job: Job, cylinder: Cylinder) -> NextReading | None:
    """Return where to read next, and how sure the largest size of the zone is now and then.

    The reading is taken to show what the others say of its place. None without a zone, where
    the job states how far the bore may lie beyond its readings, and where `next_place` names none.
    """
    from fitsolver.metrology.uncertainty import gauge_scatter

    place = next_place(cylinder)
    if place is None or cylinder.form_allowance:
        return None
    readings, scatter = deciding(cylinder), gauge_scatter(job, cylinder)
    layout = layout_of(job, cylinder, readings, scatter, "whole bore")
    if layout is None:
        return None
    return _brought(cylinder, layout, [float(r.size) for r in readings], place, scatter.once)


def _brought(
    cylinder: Cylinder, layout: Layout, sizes: list[float], place: Place, scatter: float
) -> NextReading | None:
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
