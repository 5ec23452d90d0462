"""Repeatability of the bore gauge from repeated readings (type A evaluation) and its own figure.

With s_0 the repeatability of the gauge as the job states it, s**2 the variance of one reading
pooled over every place of the job that was read more than once, n its degrees of freedom, and r
the gauge's resolution:

    s_p**2 = (8 s_0**2 + n max(s**2, r**2 / 12)) / (8 + n)

s_0 counts as if it were known to a quarter of itself, which is eight degrees of freedom (JCGM
100:2008, G.4.2); a dial does not show less scatter than its step leaves. Without s_0 it is

    s_p**2 = max(s**2, r**2 / 12) n / (n - 2)

the variance of the t distribution of so few readings (JCGM 101:2008, 6.4.9.4), where two
degrees count as three, and nothing with fewer than two.
"""

from __future__ import annotations

from math import fsum, sqrt
from statistics import variance
from typing import Final, NamedTuple

from fitsolver.metrology.form import deciding
from fitsolver.records.job import Cylinder, Job

_LEAST_FREEDOM: Final = 2
_GAUGE_DEGREES: Final = 8
#: Standard normal quantile of 1 %, one-sided.
_RARELY: Final = -2.326


class Repeats(NamedTuple):
    """The scatter of one reading (ticks), from how many, and whether they were read anew.

    `anew` is False where they agree better than the gauge repeats, beyond chance: the gauge was
    not taken out between them, and a place counts as read once.
    """

    scatter: float
    readings: int
    anew: bool


def repeats_of(job: Job) -> Repeats | None:
    """Return the scatter from the repeats of a job; None if they give none (docstring above)."""
    places = [
        reading.repeats
        for cylinder in job.cylinders
        for reading in cylinder.readings
        if len(reading.repeats) > 1
    ]
    freedom = sum(len(place) - 1 for place in places)
    gauge = None if job.measuring is None else job.measuring.instrument("bore gauge")
    own = 0 if gauge is None else gauge.repeatability
    if not freedom or (not own and freedom < _LEAST_FREEDOM):
        return None
    step = 0.0 if gauge is None else gauge.resolution**2 / 12
    seen = fsum((len(place) - 1) * float(variance(place)) for place in places) / freedom
    shown, read = max(seen, step), sum(map(len, places))
    if not own:
        counted = max(freedom, 3)
        return Repeats(sqrt(shown * counted / (counted - 2)), read, anew=True)
    if shown < own**2 * least_ratio(freedom):
        return Repeats(float(own), read, anew=False)
    pooled = (_GAUGE_DEGREES * own**2 + freedom * shown) / (_GAUGE_DEGREES + freedom)
    return Repeats(sqrt(pooled), read, anew=True)


def least_ratio(freedom: int) -> float:
    """Return below what ratio of variances readings agree better than chance allows (1 %).

    The 1 % quantile of chi-square over its degrees of freedom, by the cube root's normal
    distribution (Wilson and Hilferty, The Distribution of Chi-Square, 1931).
    """
    spread = 2 / (9 * freedom)
    return max(0.0, 1 - spread + _RARELY * sqrt(spread)) ** 3


def decided_by(cylinder: Cylinder) -> int:
    """Return how often the largest local size that decides was read."""
    largest = max(deciding(cylinder), key=lambda reading: reading.size, default=None)
    return 1 if largest is None else max(1, len(largest.repeats))
