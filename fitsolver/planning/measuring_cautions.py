"""Cautions that how a job was measured calls for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitsolver.base.lengths import format_length
from fitsolver.metrology.correct import warm_cautions
from fitsolver.metrology.repeats import repeats_of
from fitsolver.records.budget import Budget
from fitsolver.records.job import Job
from fitsolver.records.measuring import Measuring
from fitsolver.records.windows import place_words


def measuring_cautions(job: Job) -> tuple[str, ...]:
    """Return the cautions of a job's instruments and temperatures; none where it states neither."""
    if job.measuring is None:
        return warm_cautions(job)
    return (
        *warm_cautions(job),
        *_coarse(job, job.measuring),
        *_missing(job.measuring),
        *_not_anew(job),
    )


def budget_cautions(job: Job, budgets: Sequence[Budget]) -> tuple[str, ...]:
    """Return the cautions of a budget: those of the job, and windows that are hardly wider."""
    return (*measuring_cautions(job), *_narrow(job, budgets))


def _coarse(job: Job, measuring: Measuring) -> Iterator[str]:
    """An instrument that cannot tell the edges of a window apart."""
    widths = [
        high - low
        for cylinder in job.cylinders
        for window in job.windows_for(cylinder)
        if window.fit == "clearance"
        for low, high in [window.stated(max((r.size for r in cylinder.readings), default=0))]
        if low is not None and high is not None
    ]
    narrowest = min(widths, default=None)
    for instrument in measuring.instruments:
        if instrument.kind == "feeler gauge" or narrowest is None:
            continue
        if instrument.resolution > narrowest:
            step = format_length(instrument.resolution, job.unit, symbol=True)
            width = format_length(narrowest, job.unit, symbol=True)
            yield (
                f"The {instrument.kind} is read in steps of {step}, wider than the clearance "
                f"window of {width}: it cannot tell whether the clearance is right."
            )


def _missing(measuring: Measuring) -> Iterator[str]:
    for kind in ("outside micrometer", "bore gauge"):
        if measuring.instruments and measuring.instrument(kind) is None:
            yield f"No {kind} is described: its error is not counted."
    if measuring.setting == "master" and measuring.instrument("setting master") is None:
        yield "The gauge was set on a master that is not described: its error is not counted."
    gauge = measuring.instrument("bore gauge")
    if measuring.read_by and gauge is not None and not gauge.reproducibility:
        yield (
            "The job says who read, but not how far people differ with the gauge "
            "(reproducibility): they are taken to read alike."
        )
    if measuring.instruments and measuring.temperatures.uncertainty == 0:
        yield "No uncertainty of the temperatures is given: 20 °C is taken as exact."


def _not_anew(job: Job) -> Iterator[str]:
    """Repeats that agree better than the gauge repeats."""
    found = repeats_of(job)
    if found is not None and not found.anew:
        yield (
            f"{found.readings} repeated readings agree better than the bore gauge repeats: they "
            "count once. Take the gauge out and rock it anew for every reading, or state how well "
            "it really repeats."
        )


def _narrow(job: Job, budgets: Sequence[Budget]) -> Iterator[str]:
    """A window less than 3.92 standard uncertainties wide leaves no guard for 95 % (JCGM 106)."""
    for budget in budgets:
        cylinder = next(c for c in job.cylinders if c.name == budget.cylinder)
        size = max((reading.size for reading in cylinder.readings), default=0)
        for window in job.windows_for(cylinder):
            if (window.fit, window.groove) != (budget.fit, budget.groove):
                continue
            low, high = window.stated(size)
            if low is not None and high is not None and high - low < 3.92 * budget.combined:
                name = place_words(budget.fit)
                yield (
                    f"Cylinder {budget.cylinder}: the {name} window is less than 3.92 standard "
                    "uncertainties wide: no figure inside it is right with 95 %."
                )
