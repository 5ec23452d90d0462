"""Entries of a log as checks of the bore at 20 °C, in the order they were made."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import sqrt
from typing import Final

from fitsolver.at_hone.advice import Checks
from fitsolver.at_hone.log import Entry
from fitsolver.at_hone.noise import check_noise
from fitsolver.errors import InputError
from fitsolver.lengths import format_length
from fitsolver.metrology.correct import corrected
from fitsolver.metrology.form import deciding
from fitsolver.metrology.temperature import temperatures_of
from fitsolver.records.hone import CountedIn, HonePass
from fitsolver.records.job import Cylinder, Job

#: A bore does not shrink: a place that reads smaller by more than so many standard deviations
#: of the difference of two checks was misread (3 in 100 000 by chance).
_SIGMAS: Final = 4

Places = dict[tuple[int, int], int]


@dataclass(frozen=True, slots=True)
class Check:
    """One check: strokes so far, under which stones, the cylinder as read and at 20 °C.

    `stones` is None where several were used since the check before.
    """

    count: int
    stones: str | None
    counted_in: CountedIn
    temperature: int
    read: Cylinder
    bore: Cylinder

    @property
    def places(self) -> Places:
        """The local sizes that decide, by depth and angle (ticks at 20 °C)."""
        return {(reading.depth, reading.angle): reading.size for reading in deciding(self.bore)}


def checks_of(job: Job, cylinder: Cylinder, entries: Iterable[Entry], file: str) -> list[Check]:
    """Return the checks of a cylinder: the job's own readings first, then those of its entries.

    Raises InputError, with the line, for readings that shrink the bore by more than the
    gauge's error, and for readings of which none decides.
    """
    return list(_checks(job, cylinder, entries, file))


def count_since(checks: list[Check], entries: Iterable[Entry]) -> int:
    """Return the strokes taken since the last check."""
    return sum(entry.done.count for entry in entries) - checks[-1].count


def under_present_stones(checks: list[Check]) -> tuple[list[Check], list[tuple[int, int]]]:
    """Return the checks that the stones now in use connect, and the places all of them read."""
    kept = [checks[-1]]
    common = set(kept[0].places)
    for earlier in reversed(checks[:-1]):
        later = kept[0]
        if (
            later.stones is None
            or later.stones != checks[-1].stones
            or not common & set(earlier.places)
        ):
            break
        common &= set(earlier.places)
        kept.insert(0, earlier)
    return kept, sorted(common)


def as_numbers(checks: list[Check], places: list[tuple[int, int]]) -> Checks:
    """Return checks as the numbers that a line is fitted to."""
    sizes = [[check.places[place] for place in places] for check in checks]
    allowance = checks[-1].bore.form_allowance
    return Checks(
        [check.count for check in checks],
        [min(row) - allowance for row in sizes],
        [max(row) + allowance for row in sizes],
        [sum(row) / len(row) for row in sizes],
    )


def _checks(job: Job, cylinder: Cylinder, entries: Iterable[Entry], file: str) -> Iterator[Check]:
    warmth = temperatures_of(job, cylinder).bore
    last = Check(0, "", "strokes", warmth, cylinder, at_20(job, cylinder))
    yield last
    total = 0
    used: set[str] = set()
    counted_in: CountedIn | None = None
    for line, done in entries:
        total += done.count
        if done.count:
            _refuse_other_count(counted_in, done, file, line)
            counted_in = done.counted_in
            used.add(done.stones)
        if not done.readings:
            continue
        at = temperatures_of(job, cylinder)
        if done.temperature is not None:
            at = at.model_copy(update={"bore": done.temperature})
        read = cylinder.model_copy(update={"readings": done.readings, "temperatures": at})
        # Without strokes it was only read again, under the stones of before.
        stones = None if len(used) > 1 else used.pop() if used else last.stones
        check = Check(total, stones, counted_in or "strokes", at.bore, read, at_20(job, read))
        _refuse_shrinking(job, last, check, file, line)
        used = set()
        last = check
        yield check


def at_20(job: Job, cylinder: Cylinder) -> Cylinder:
    """Return a cylinder with its readings corrected to 20 °C."""
    alone = job.model_copy(update={"cylinders": (cylinder,)})
    return corrected(alone, pistons=False)[0].cylinders[0]


def _refuse_other_count(before: CountedIn | None, done: HonePass, file: str, line: int) -> None:
    if before is not None and done.counted_in != before:
        raise InputError(
            "strokes and seconds cannot be added",
            file=file if line else "",
            row=line or None,
            field="strokes",
            found=f"{done.count} {done.counted_in}",
            allowed=f"{before}, as in the entries before of cylinder {done.cylinder}",
        )


def _refuse_shrinking(job: Job, before: Check, after: Check, file: str, line: int) -> None:
    error = _SIGMAS * sqrt(2) * check_noise(job, after.bore, 1).extreme
    was = before.places
    for (depth, angle), size in after.places.items():
        fall = was.get((depth, angle), size) - size
        if fall > error:
            fell, place, read, least = (
                format_length(length, job.unit, symbol=True)
                for length in (fall, depth, size, size + fall - int(error))
            )
            raise InputError(
                f"the bore reads {fell} smaller than at the check before, at depth {place}, "
                f"{angle} degrees from thrust; a hone takes metal away: read again, and look at "
                "the gauge's zero and the temperature",
                file=file if line else "",
                row=line or None,
                field="readings",
                found=f"{read} at 20 °C",
                allowed=f"not below {least}",
            )
