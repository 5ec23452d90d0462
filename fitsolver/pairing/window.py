"""The window for pairing bores and pieces: stated, or that of a job."""

from __future__ import annotations

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import LONGEST, Unit, parse_length
from fitsolver.records.base import Range
from fitsolver.records.job import Job
from fitsolver.records.windows import find_window


def stated_window(low: str | None, high: str | None, unit: Unit) -> Range:
    """Return a window given as text; raises InputError for an invalid one."""
    edges = []
    for field, text in (("low", low), ("high", high)):
        if text is None:
            raise InputError(
                "a window has a lowest and a highest clearance", field=field, found="nothing",
                allowed="--low and --high, or --like JOB",
            )  # fmt: skip
        try:
            edges.append(parse_length(text, unit))
        except ValueError as error:
            raise InputError(str(error), field=field, found=text, allowed="a length") from error
    return checked_window(*edges)


def checked_window(low: int, high: int) -> Range:
    """Return a window of ticks; raises InputError where its lowest is above its highest."""
    if low > high:
        raise InputError(
            "the window's lowest clearance is above its highest", field="low",
            found=f"{low} to {high} ticks of 10 nm", allowed="a lowest of at most the highest",
        )  # fmt: skip
    if max(abs(low), abs(high)) > LONGEST:
        raise InputError("longer than ten metres", field="window", found=f"{low} to {high}")
    return Range(low=low, high=high)


def window_like(job: Job) -> Range:
    """Return the clearance window of a job, its guard taken off.

    Raises InputError where its cylinders have different ones, where an edge is open, where it is
    stated per unit of bore (a table names no nominal bore), and where guards come from measuring.
    """
    if job.measuring is not None or any(c.temperatures is not None for c in job.cylinders):
        raise _refused(
            job, "measuring",
            "pairing takes sizes at 20 °C and measuring allowances that the windows state",
            "found in the job", "a job without it, guard = ... in its window",
        )  # fmt: skip
    found = set()
    for cylinder in job.cylinders:
        window = find_window(job.windows_for(cylinder), "clearance")
        if window is None or window.low is None or window.high is None:
            raise _refused(
                job, "window", "pairing needs a lowest and a highest clearance",
                f"cylinder {cylinder.name} has not both", "both edges, or --low and --high",
            )  # fmt: skip
        if window.per_bore:
            raise _refused(
                job, "window", "a clearance per unit of bore needs a nominal bore",
                "per_bore = true", "--low and --high",
            )  # fmt: skip
        limits = window.limits(0, as_is=True)  # what is measured is finished
        found.add((limits.low or 0, limits.high or 0))
    if len(found) > 1:
        raise _refused(
            job, "window", "the cylinders have different clearance windows",
            f"{len(found)} windows", "one window, or --low and --high",
        )  # fmt: skip
    return checked_window(*found.pop())


def _refused(job: Job, field: str, message: str, found: str, allowed: str) -> InputError:
    return InputError(message, file=job.name, field=field, found=found, allowed=allowed)
