"""Wear per rebuild from earlier records of a cylinder.

Wears differ in proportion and may grow from one rebuild to the next, so their logarithms are
put on a line (docs/ladder.md). With w_i, i = 1..n, the wears, none counted below u, the standard
uncertainty of measuring one, y_i = ln w_i, and m the mean of y:

    b = sum (i - (n + 1)/2) y_i / q        q = sum (i - (n + 1)/2)**2 + 1 / g**2
    r = sum (y_i - m - b (i - (n + 1)/2))**2 + (b / g)**2
    s**2 = (v c**2 + r) / (v + n - 1)
    the next wear: at most exp(m + b (n + 1)/2 + t s sqrt(1 + 1/n + ((n + 1)/2)**2 / q)),
    t of 0.95 with v + n - 1 degrees of freedom,
    and never below mean + 1.645 u sqrt(1 + 1/n), what the gauge alone leaves open

It is the predictive distribution of a linear regression with a conjugate prior (Gelman and
others, Bayesian Data Analysis, 3rd edition, 14.2 and 14.8): the scatter is c = 1/3, with v = 3
degrees of freedom, and the slope lies within g = 0.6 scatters of none. The three are own choices.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil, exp, fsum, log, sqrt
from typing import Final

from fitsolver.metrology.line import fit_line
from fitsolver.metrology.student import t_quantile
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.wear import READING_SCATTER, EarlierRecord, WearEstimate

#: Probability that the next wear lies below the stated limit.
SURE: Final = 0.95
_NORMAL: Final = 1.645  # of the normal distribution for the same
#: The prior (own choices): the scatter of wears (standard deviation of the logarithm), its degrees
#: of freedom, and the growth from one rebuild to the next in such standard deviations.
SCATTER: Final = 1 / 3
_DEGREES: Final = 3
_GROWTH: Final = 0.6
#: Fewer wears cannot show a growth.
_LEAST_FOR_TREND: Final = 3


def with_wear(job: Job) -> Job:
    """Return a job whose cylinders have the wear from their earlier records."""
    return job.model_copy(update={"cylinders": tuple(map(_known, job.cylinders))})


def _known(cylinder: Cylinder) -> Cylinder:
    return cylinder.model_copy(update={"earlier_wear": wear_estimate(cylinder.earlier)})


def wear_estimate(
    records: Sequence[EarlierRecord], reading: float = READING_SCATTER
) -> WearEstimate | None:
    """Return the wear per rebuild from the earlier records of one bore; None without any.

    `reading` is the standard uncertainty (ticks) of one size, for records that do not tell that
    of their wear.
    """
    if not records:
        return None
    return estimated([r.wear for r in records], [r.error(reading) for r in records])


def estimated(wears: Sequence[int], errors: Sequence[float]) -> WearEstimate:
    """Return mean, its standard uncertainty and the most of the next, from one wear or more.

    All in ticks, oldest first; `errors` are the standard uncertainties of measuring each.
    """
    n = len(wears)
    mean = fsum(wears) / n
    gauge = sqrt(fsum(error**2 for error in errors) / n)
    scatter = sqrt(fsum((wear - mean) ** 2 for wear in wears) / (n - 1)) if n > 1 else 0.0
    by_gauge = mean + _NORMAL * gauge * sqrt(1 + 1 / n)
    return WearEstimate(
        count=n,
        mean=round(mean),
        uncertainty=max(gauge, scatter) / sqrt(n),
        most=ceil(max(by_gauge, _next_most([max(wear, gauge) for wear in wears]))),
        growing=n >= _LEAST_FOR_TREND and _grows(wears),
    )


def cautions(told: WearEstimate) -> Iterator[str]:
    """Yield the limits of an estimate as cautions."""
    if told.assumed:
        records = "one earlier record" if told.count == 1 else f"{told.count} earlier records"
        yield (
            f"The wear is that of {records}: how far it differs from one rebuild to the next is "
            "not known. It is taken to differ by a third of itself (own choice, no source)."
        )
    if told.growing:
        yield (
            "Wear grows from one rebuild to the next by more than chance: find the cause, and "
            "look sooner than last time."
        )


def _next_most(wears: Sequence[float]) -> float:
    """Return the upper limit of the next wear (ticks), from the line through the logarithms."""
    n = len(wears)
    logs = [log(wear) for wear in wears]
    level, ahead = fsum(logs) / n, (n + 1) / 2
    at = [i - ahead for i in range(1, n + 1)]
    square = fsum(x * x for x in at) + 1 / _GROWTH**2
    slope = fsum(x * y for x, y in zip(at, logs, strict=True)) / square
    residuals = fsum((y - level - slope * x) ** 2 for x, y in zip(at, logs, strict=True))
    degrees = _DEGREES + n - 1
    scatter = sqrt((_DEGREES * SCATTER**2 + residuals + (slope / _GROWTH) ** 2) / degrees)
    off = t_quantile(SURE, degrees) * scatter * sqrt(1 + 1 / n + ahead**2 / square)
    return exp(level + slope * ahead + off)


def _grows(wears: Sequence[int]) -> bool:
    """Tell whether wears rise by more than chance: the slope's t test, one-sided at 5 %.

    NIST/SEMATECH e-Handbook, 4.1.4.1 and 4.4 (least squares).
    """
    line = fit_line(range(1, len(wears) + 1), wears)
    error = (line.scatter or 0.0) * line.slope_factor()
    return line.slope > t_quantile(SURE, line.degrees) * error
