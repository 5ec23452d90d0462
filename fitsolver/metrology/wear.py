"""Wear per rebuild from earlier records of a cylinder.

With wears w_i, i = 1..n, and u the standard uncertainty of measuring one (JCGM 100:2008, 4.2;
pooled as at the hone: u counts as if it had eight degrees of freedom, docs/hone.md):

    mean = sum w_i / n        s**2 = sum (w_i - mean)**2 / (n - 1)
    s_p**2 = (8 u**2 + (n - 1) s**2) / (8 + n - 1)
    u(mean) = s_p / sqrt(n)
    the next wear: at most mean + t s_p sqrt(1 + 1/n), t of 0.95 with 8 + n - 1 degrees of freedom
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, fsum, sqrt
from typing import Final

from fitsolver.metrology.student import t_quantile
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.wear import READING_SCATTER, EarlierRecord, WearEstimate

#: Of the next wear lying below what is stated.
SURE: Final = 0.95
_GAUGE_DEGREES: Final = 8


def with_wear(job: Job) -> Job:
    """Return a job whose cylinders know the wear that their earlier records tell."""
    return job.model_copy(update={"cylinders": tuple(map(_known, job.cylinders))})


def _known(cylinder: Cylinder) -> Cylinder:
    return cylinder.model_copy(update={"earlier_wear": wear_estimate(cylinder.earlier)})


def wear_estimate(
    records: Sequence[EarlierRecord], reading: float = READING_SCATTER
) -> WearEstimate | None:
    """Return the wear per rebuild that earlier records of one bore tell; None without any.

    `reading` is the standard uncertainty (ticks) of one size, for records that do not tell that
    of their wear.
    """
    if not records:
        return None
    return estimated([r.wear for r in records], [r.error(reading) for r in records])


def estimated(wears: Sequence[int], errors: Sequence[float]) -> WearEstimate:
    """Return mean, its standard uncertainty and the most of the next, from one wear or more.

    All in ticks; `errors` are the standard uncertainties of measuring each.
    """
    n = len(wears)
    mean = fsum(wears) / n
    spread = fsum((wear - mean) ** 2 for wear in wears)
    measured = fsum(error**2 for error in errors) / n
    degrees = _GAUGE_DEGREES + n - 1
    pooled = sqrt((_GAUGE_DEGREES * measured + spread) / degrees)
    return WearEstimate(
        count=n,
        mean=round(mean),
        uncertainty=pooled / sqrt(n),
        most=ceil(mean + t_quantile(SURE, degrees) * pooled * sqrt(1 + 1 / n)),
    )
