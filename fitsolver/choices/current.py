"""Old part numbers of a job, replaced by the current ones."""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job


def with_current_numbers(job: Job, catalogue: Catalogue) -> Job:
    """Return the job with every old number replaced by the catalogue's current one."""
    current = catalogue.current
    asked = sorted({number for number in _named(job) if number in current})
    if not asked:
        return job

    def now(number: str) -> str:
        return current.get(number, number)

    cylinders = tuple(
        cylinder.model_copy(
            update={
                "piston": None if cylinder.piston is None else now(cylinder.piston),
                "rings": tuple(
                    pin.model_copy(update={"number": now(pin.number)}) for pin in cylinder.rings
                ),
            }
        )
        for cylinder in job.cylinders
    )
    in_hand = tuple(held.model_copy(update={"number": now(held.number)}) for held in job.in_hand)
    changed = {"cylinders": cylinders, "in_hand": in_hand, "asked_for": tuple(asked)}
    return job.model_copy(update=changed)


def _named(job: Job) -> Iterator[str]:
    yield from (held.number for held in job.in_hand)
    for cylinder in job.cylinders:
        yield from (cylinder.piston or "", *(pin.number for pin in cylinder.rings))


def answered(job: Job, catalogue: Catalogue) -> Iterator[str]:
    """Yield a sentence on each old number in a job: its current number."""
    how = {old.number: old.how for old in catalogue.old_numbers}
    for number in job.asked_for:
        now = catalogue.current[number]
        if how[number] == "same":
            yield f"{number} was asked for: it is the same part as {now}, which is answered."
        else:
            yield f"{number} was asked for: {now} replaces it and is answered in its place."
