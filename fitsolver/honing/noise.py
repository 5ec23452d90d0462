"""The noise of a check at the hone: gauge and bore temperature."""

from __future__ import annotations

from math import hypot, sqrt
from typing import Final

from fitsolver.honing.advice import Noise
from fitsolver.metrology.instrument_sets import instrument_set
from fitsolver.metrology.repeats import repeats_of
from fitsolver.metrology.temperature import bore_expansion, temperatures_of
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.wear import READING_SCATTER

#: Standard deviation of one reading of a bore gauge where the job does not tell.
ASSUMED: Final = READING_SCATTER
#: Readings that differ by more than this many standard deviations of their difference disagree
#: (6 in 100 000 by chance).
SIGMAS: Final = 4
#: Half-width of the error of a thermometer on the bore where the job does not tell (thousandths of
#: 1 °C; common practice, no source).
THERMOMETER: Final = 1_000


def gauge_scatter(job: Job) -> float | None:
    """Return the standard deviation (ticks) of one reading of the bore gauge; None if not told.

    From readings that the job repeats, else the gauge's repeatability and resolution.
    """
    repeated = repeats_of(job)
    if repeated is not None and repeated.scatter > 0:
        return repeated.scatter
    if job.measuring is None:
        return None
    gauge = job.measuring.instrument("bore gauge")
    if gauge is None and job.measuring.set_name:
        ready = instrument_set(job.measuring.set_name)
        gauge = next((item for item in ready if item.kind == "bore gauge"), None)
    if gauge is None:
        return None
    return hypot(gauge.repeatability, gauge.resolution / sqrt(12)) or None


def check_noise(job: Job, cylinder: Cylinder, places: int, *, warm: bool = False) -> Noise:
    """Return the noise of a check of `places` places: the gauge's, and the temperature's, which is
    equal at all places (rectangular, with the job's half-width; else that of a thermometer on a
    `warm` bore)."""
    one = gauge_scatter(job) or ASSUMED
    stated = temperatures_of(job, cylinder).uncertainty or (THERMOMETER if warm else 0)
    kelvin = stated / 1000 / sqrt(3)
    size = cylinder.readings[0].size if cylinder.readings else 0
    common = size * bore_expansion(job, cylinder) * 1e-9 * kelvin if kelvin else 0.0
    return Noise(hypot(one, common), hypot(one / sqrt(places), common), common, common)
