"""Wear per rebuild from the visits of a cylinder, and what it does to the rebuilds left.

With wears w_i, i = 1..n, and u the standard uncertainty of measuring one (JCGM 100:2008, 4.2;
pooled as at the hone: u counts as if it had eight degrees of freedom, docs/hone.md):

    mean = sum w_i / n        s**2 = sum (w_i - mean)**2 / (n - 1)
    s_p**2 = (8 u**2 + (n - 1) s**2) / (8 + n - 1)
    u(mean) = s_p / sqrt(n)
    the next wear: at most mean + t s_p sqrt(1 + 1/n), t of 0.95 with 8 + n - 1 degrees of freedom
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import ceil, fsum, sqrt
from typing import Final

from fitsolver.hone.line import t_quantile
from fitsolver.hone.noise import ASSUMED
from fitsolver.lengths import format_length
from fitsolver.records.book import Visit, WearEstimate
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.ladder import LadderAnswer

#: Of the next wear lying below what is stated.
SURE: Final = 0.95
_GAUGE_DEGREES: Final = 8
#: The least wear that a job file may state (docs/formats.md), so that rebuilds can be counted.
LEAST_WEAR: Final = 100
#: A bore does not shrink: one that came in smaller by more than so many standard uncertainties is
#: a new one (a liner, a plating), and its record begins there.
_SIGMAS: Final = 4


def wear_estimate(visits: Iterable[Visit]) -> WearEstimate | None:
    """Return the wear per rebuild of a cylinder since its bore was last new; None where unknown."""
    worn: list[tuple[int, float]] = []
    for visit in visits:
        if visit.wear is None:
            continue
        error = visit.wear_uncertainty or sqrt(2) * ASSUMED
        if visit.wear < -_SIGMAS * error:
            worn.clear()
        else:
            worn.append((visit.wear, error))
    return _estimate([wear for wear, _ in worn], [error for _, error in worn]) if worn else None


def with_wear(job: Job, estimates: Mapping[str, WearEstimate], *, most: bool = False) -> Job:
    """Return a job that says how far its cylinders wear per rebuild, as the book knows it.

    `estimates` go by the names of the cylinders; others keep what the job says. With `most` it
    is the wear that the next one does not pass. A wear of nothing counts as the least one.
    """

    def known(cylinder: Cylinder) -> Cylinder:
        found = estimates.get(cylinder.name)
        if found is None:
            return cylinder
        wear = max(found.most if most else found.mean, LEAST_WEAR)
        return cylinder.model_copy(update={"wear_per_rebuild": wear})

    return job.model_copy(update={"cylinders": tuple(map(known, job.cylinders))})


def outlook(
    job: Job, estimates: Mapping[str, WearEstimate], worst: LadderAnswer
) -> tuple[str, ...]:
    """Return a sentence for each cylinder: its wear, and what is left where the next is the most.

    `worst` are the sizes left at the most wear of `estimates`.
    """
    left = {ladder.cylinder: ladder.rebuilds_left for ladder in worst.cylinders}
    return tuple(_sentence(job, name, found, left.get(name)) for name, found in estimates.items())


def _sentence(job: Job, name: str, found: WearEstimate, left: int | None) -> str:
    mean = format_length(found.mean, job.unit, symbol=True)
    error = format_length(ceil(found.uncertainty), job.unit, "up", symbol=True)
    most = format_length(found.most, job.unit, "up", symbol=True)
    rebuilds = "1 rebuild" if found.count == 1 else f"{found.count} rebuilds"
    said = (
        f"Cylinder {name}: the book knows a wear of {mean} per rebuild (standard uncertainty "
        f"{error}, from {rebuilds}); the next is at most {most} (95% sure)"
    )
    return f"{said}." if left is None else f"{said}, at which {left} would be left."


def _estimate(wears: Sequence[int], errors: Sequence[float]) -> WearEstimate:
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
