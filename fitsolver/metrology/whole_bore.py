"""The whole bore as inferred from its readings, and the places read alone."""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING, Final, NamedTuple

from fitsolver.metrology.form import bore_form, deciding, extremes
from fitsolver.metrology.materials import is_plated
from fitsolver.records.base import FitName, Range
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import OddsOf
from fitsolver.records.readings import Reading, Zone, decides

if TYPE_CHECKING:
    from fitsolver.metrology.between import Whole
    from fitsolver.metrology.bore_parts import Floats, Layout, Prior

#: The figures of the whole bore's form that may be in error, by their names in a sample.
FORM_FIGURES: Final = (
    "largest",
    "smallest",
    "circle_largest",
    "circle_smallest",
    "circle",
    "out_of_round",
    "taper",
)
#: Fewer readings, depths or axes are too few to know the whole bore.
LEAST_READINGS: Final = 4
LEAST_DEPTHS: Final = 2
LEAST_AXES: Final = 2
#: No reading is taken to be surer than this (ticks).
_FINEST: Final = 10.0


class Scatter(NamedTuple):
    """Standard deviations of one reading of the dial (ticks): its repeatability, its step."""

    repeatability: float
    step: float

    @property
    def once(self) -> float:
        """The standard deviation of one reading, no less than a tenth of a micrometre."""
        return max(sqrt(self.repeatability**2 + self.step**2), _FINEST)

    def of(self, reading: Reading) -> float:
        """Return the standard deviation of a reading, the mean of its repeats."""
        times = max(1, len(reading.repeats))
        return max(sqrt(self.repeatability**2 / times + self.step**2), _FINEST)


class WholeBore(NamedTuple):
    """A weighted sample of the possible forms of a bore, relative to its readings (ticks)."""

    read: Range
    scatter: float
    differences: dict[FitName, int]
    sample: Whole

    @property
    def read_share(self) -> float:
        """The part of the variance of the largest size that the scatter of one reading makes."""
        variance = self.deviation(self.sample.largest) ** 2
        return min(1.0, self.scatter**2 / variance) if variance else 1.0

    def mean(self, values: Floats) -> float:
        """Return the mean of a figure over the sample."""
        return float((self.sample.weights * values).sum())

    def deviation(self, values: Floats) -> float:
        """Return the standard deviation of a figure over the sample."""
        return sqrt(max(0.0, self.mean((values - self.mean(values)) ** 2)))


def odds_of(cylinder: Cylinder) -> OddsOf:
    """Return the extent over which a bore that is left as it is can be judged.

    Its whole zone where that is known, and read at two depths and two axes, four readings in
    all; or where the job states how far it may lie beyond the readings. Else the places read.
    """
    if not cylinder.readings or cylinder.form_allowance:
        return "whole bore"
    readings = deciding(cylinder)
    enough = (
        cylinder.zone is not None
        and len(readings) >= LEAST_READINGS
        and len({reading.depth for reading in readings}) >= LEAST_DEPTHS
        and len({reading.angle for reading in readings}) >= LEAST_AXES
    )
    return "whole bore" if enough else "places read"


def tried_here(cylinder: Cylinder, reserved: str | None, bore: int) -> bool:
    """Tell whether a gap measured in a bore of that size (ticks) was tried in this cylinder.

    It was where the ring is reserved for the cylinder, and the bore named is one that was read
    there.
    """
    smallest, largest = extremes(cylinder)
    return reserved == cylinder.name and smallest <= bore <= largest


def whole_bore(job: Job, cylinder: Cylinder, scatter: Scatter, over: OddsOf) -> WholeBore | None:
    """Return the sample of a bore over its zone, or over the places read.

    None for a bore without readings, with a stated form allowance (which takes the place of the
    model), over a zone that is not known, and over the place of a single reading, which tells of
    no form.
    """
    if not cylinder.readings or cylinder.form_allowance:
        return None
    readings = deciding(cylinder)
    if over == "places read" and len(readings) == 1:
        return None
    layout = layout_of(job, cylinder, readings, scatter, over)
    if layout is None:
        return None
    form = bore_form(cylinder, job.convention)
    differences: dict[FitName, int] = {
        "out_of_round": form.out_of_round,
        "taper": abs(form.taper),
    }
    return _whole(layout, readings, scatter, differences)


def _whole(
    layout: Layout,
    readings: tuple[Reading, ...],
    scatter: Scatter,
    differences: dict[FitName, int],
) -> WholeBore:
    import numpy as np

    from fitsolver.metrology.between import Whole, whole

    sizes = np.array([[reading.size for reading in readings]], dtype=float)
    ((_, found),) = whole(layout, sizes)
    largest = max(readings, key=lambda reading: reading.size)
    return WholeBore(
        Range(low=min(r.size for r in readings), high=largest.size),
        scatter.of(largest),
        differences,
        Whole(*(column[0] for column in found)),
    )


def layout_of(
    job: Job,
    cylinder: Cylinder,
    readings: tuple[Reading, ...],
    scatter: Scatter,
    over: OddsOf,
) -> Layout | None:
    from fitsolver.metrology.bore_parts import Layout

    zone = _extent(cylinder, readings)
    if over == "whole bore" and cylinder.zone is None:
        return None
    length = max(1, zone.bottom - zone.top)
    places = tuple(((r.depth - zone.top) / length, r.angle, scatter.of(r)) for r in readings)
    odd = None
    if job.convention == "six readings":
        odd = max(readings, key=lambda r: (r.size, -r.angle)).angle
    depths = _depths(cylinder, zone) if over == "whole bore" else ()
    return Layout(places, depths, float(_nominal(readings)), prior_of(job, cylinder), odd)


def _extent(cylinder: Cylinder, readings: tuple[Reading, ...]) -> Zone:
    """Return the zone; without one a stretch as long as the bore is wide about the readings."""
    if cylinder.zone is not None:
        return cylinder.zone
    depths = [reading.depth for reading in readings]
    length = max(_nominal(readings), max(depths) - min(depths))
    top = (max(depths) + min(depths) - length) // 2
    return Zone.model_construct(top=top, bottom=top + length)


def _nominal(readings: tuple[Reading, ...]) -> int:
    """Return the bore's size to a millimetre, for readings alike share one layout."""
    return round(readings[0].size / 100_000) * 100_000


def _depths(cylinder: Cylinder, zone: Zone) -> tuple[float, ...]:
    """Return the depths to judge (shares of the zone), without those beside a port."""
    from fitsolver.metrology.bore_parts import DEPTHS

    length = zone.bottom - zone.top
    shares = [k / (DEPTHS - 1) for k in range(DEPTHS)]
    kept = [s for s in shares if decides(round(zone.top + s * length), zone, cylinder.ports)]
    return tuple(kept or shares)


def prior_of(job: Job, cylinder: Cylinder) -> Prior:
    """Return the prior of a kind of bore: plated, freshly finished or worn in service.

    Common practice, no source.
    """
    from fitsolver.metrology.bore_parts import Prior

    if is_plated(cylinder.material):
        return Prior(along=6e-5, oval=3e-5, top=6e-5, bottom=3e-5)
    if job.finishing == "already finished":
        return Prior(along=5e-5, oval=2.5e-5, top=5e-5, bottom=5e-5)
    return Prior(along=1.5e-4, oval=6e-5, top=2e-4, bottom=5e-5)
