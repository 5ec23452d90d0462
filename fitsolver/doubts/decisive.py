"""Readings off their neighbours by less than the bound for a slip, which may decide the plan.

Such a reading alone is no doubt. Suppose the plan changes with the size that the bore's other
readings predict. Then one figure decides about metal and money, and must be read again.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, NamedTuple

from fitsolver.doubts.job import is_accepted
from fitsolver.doubts.look import Look
from fitsolver.doubts.readings import Off, off
from fitsolver.metrology.form import bore_form, deciding, extremes
from fitsolver.records.doubts import Doubt
from fitsolver.records.job import Cylinder, Job

#: Standard deviations, and ticks (10 um), from which a reading is tried with the size expected.
STANDS_OFF: Final = 1.6
NEAR: Final = 1_000
_MOST: Final = 4


class Trial(NamedTuple):
    """A job with one reading set to its predicted size, and the doubt if that decides."""

    job: Job
    doubt: Doubt


def trials(look: Look) -> Iterator[Trial]:
    """Yield jobs with one reading each at its predicted size, where this changes sizes."""
    job = look.job
    for index, cylinder in enumerate(job.cylinders):
        for one in off(deciding(cylinder), STANDS_OFF, NEAR)[:_MOST]:
            doubt = look.of_reading(cylinder, one.reading, _sentence(look, one))
            other = _moved(cylinder, one)
            if is_accepted(doubt, job.accept) or not _changes(job, cylinder, other):
                continue
            cylinders = (*job.cylinders[:index], other, *job.cylinders[index + 1 :])
            yield Trial(job.model_copy(update={"cylinders": cylinders}), doubt)


def _moved(cylinder: Cylinder, one: Off) -> Cylinder:
    reading = one.reading
    size = round(one.expected.expected)
    dial = None if reading.dial is None else reading.dial + size - reading.size
    moved = reading.model_copy(update={"size": size, "dial": dial, "repeats": ()})
    readings = tuple(moved if item is reading else item for item in cylinder.readings)
    return cylinder.model_copy(update={"readings": readings})


def _changes(job: Job, cylinder: Cylinder, other: Cylinder) -> bool:
    """Tell whether another reading changes the sizes or the form of a bore."""
    if extremes(cylinder) != extremes(other):
        return True
    before, after = (bore_form(c, job.convention) for c in (cylinder, other))
    return (before.out_of_round, before.taper) != (after.out_of_round, after.taper)


def _sentence(look: Look, one: Off) -> str:
    reading, expected = one.reading, one.expected.expected
    return (
        f"the other readings of the bore say about {look.figure(reading, expected)}. The "
        "difference is small, but it alone decides"
    )
