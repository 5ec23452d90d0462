"""What repeated readings tell about the bore gauge (type A evaluation)."""

from __future__ import annotations

from math import fsum, sqrt
from statistics import variance
from typing import Final

from fitsolver.metrology.form import deciding
from fitsolver.records.job import Cylinder, Job

_LEAST_FREEDOM: Final = 2


def repeated_scatter(job: Job) -> tuple[float, int] | None:
    """Return the standard deviation of one reading of the bore gauge, and from how many readings.

    Type A (JCGM 100:2008, 4.2.4): pooled over every place of the job that was read more than
    once, for it is one gauge; times sqrt(n / (n - 2)) for n degrees of freedom, the standard
    deviation of the t distribution of so few (JCGM 101:2008, 6.4.9.4), where two count as
    three. Takes the place of the gauge's own repeatability (type B). None with fewer than two
    degrees of freedom, which three readings of one place have.
    """
    places = [
        reading.repeats
        for cylinder in job.cylinders
        for reading in cylinder.readings
        if len(reading.repeats) > 1
    ]
    freedom = sum(len(place) - 1 for place in places)
    if freedom < _LEAST_FREEDOM:
        return None
    pooled = fsum((len(place) - 1) * float(variance(place)) for place in places) / freedom
    counted = max(freedom, 3)
    return sqrt(pooled * counted / (counted - 2)), sum(map(len, places))


def decided_by(cylinder: Cylinder) -> int:
    """Return how often the largest local size that decides was read."""
    largest = max(deciding(cylinder), key=lambda reading: reading.size, default=None)
    return 1 if largest is None else max(1, len(largest.repeats))
