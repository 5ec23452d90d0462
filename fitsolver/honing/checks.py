"""Entries of a log as checks of the bore at 20 °C, in the order they were made."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise
from math import sqrt
from statistics import median
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.honing.log import Entry
from fitsolver.honing.noise import ASSUMED, SIGMAS, check_noise, gauge_scatter
from fitsolver.honing.start import Start, sleeved
from fitsolver.metrology.correct import corrected
from fitsolver.metrology.form import deciding
from fitsolver.metrology.temperature import temperatures_of
from fitsolver.records.hone import CountedIn, HonePass
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.measuring import REFERENCE
from fitsolver.records.readings import Reading

Place = tuple[int, int]
Places = dict[Place, int]
#: From this many places on, a common difference is due to the gauge's zero or the temperature.
_ALIKE: Final = 3
#: A bore this much warmer than 20 °C (thousandths) should cool before the last reading (common
#: practice, no source).
WARM: Final = 5_000


@dataclass(frozen=True, slots=True)
class Check:
    """One check: strokes so far, under which stones, the cylinder as read and at 20 °C.

    `number` counts the checks of the cylinder, 0 the job's own; `line` is that of the log, 0 for
    one that is not written yet. `stones` is None where several were used since the check before,
    and `cut` is the name of a bar's cut or a new sleeve since then. `own` are the places that its
    entry read: a re-reading of some places has the others from the check before, and it `replaces`
    that check, as a re-reading that contradicts it does. At the places `left_out` later readings
    contradict it. `aside` are the sizes read at places that do not decide: beside a port, outside
    the zone. `often` is the number of readings of each place, where the check stands for a state of
    the bore; readings of one place further apart than `apart` disagree.
    """

    number: int
    line: int
    count: int
    stones: str | None
    counted_in: CountedIn
    temperature: int
    read: Cylinder
    bore: Cylinder
    own: frozenset[Place]
    aside: Mapping[Place, int] = field(default_factory=dict)
    cut: str = ""
    replaces: bool = False
    learned: bool = True
    left_out: frozenset[Place] = frozenset()
    often: Mapping[Place, int] = field(default_factory=dict)
    apart: float = 0.0

    @property
    def times(self) -> int:
        """How often the whole of it was read."""
        return min(self.often.values(), default=1)

    @property
    def places(self) -> Places:
        """The local sizes that decide, by depth and angle (ticks at 20 °C)."""
        sizes = {(reading.depth, reading.angle): reading.size for reading in deciding(self.bore)}
        return {place: size for place, size in sizes.items() if place not in self.left_out}

    @property
    def cool(self) -> bool:
        """Tell whether the bore was near enough to 20 °C for its last reading."""
        return abs(self.temperature - REFERENCE) <= WARM

    @property
    def honed(self) -> bool:
        """Tell whether only honing is known to lie between this check and the one before: such a
        step gives the pace of the stones."""
        return not self.cut and self.learned


def read_checks(
    job: Job, cylinder: Cylinder, entries: Iterable[Entry], file: str, start: Start
) -> list[Check]:
    """Return the checks of a cylinder: what the log starts from, then those of its entries.

    Raises InputError, with the line, for strokes added to seconds, and for entries without a
    deciding reading.
    """
    return list(_checks(job, cylinder, entries, file, start))


def count_since(checks: list[Check], entries: Iterable[Entry], start: Start) -> int:
    """Return the strokes taken since the last check."""
    honed = (entry.done for entry in entries if not start.cuts_metal(entry.done.stones))
    return sum(done.count for done in honed) - checks[-1].count


def standing(checks: list[Check]) -> list[Check]:
    """Return the checks without those that a re-reading replaces."""
    kept = [check for check, after in pairwise(checks) if not after.replaces]
    return [*kept, checks[-1]]


def was_restored(checks: list[Check], start: Start) -> bool:
    """Tell whether a bore has a new sleeve, by the plan or by the log."""
    return start.restored_bore is not None or any(start.is_restored(c.cut) for c in checks)


@dataclass(slots=True)
class _Since:
    """What was done since the last check."""

    used: set[str]
    cut: str = ""


def _checks(
    job: Job, cylinder: Cylinder, entries: Iterable[Entry], file: str, start: Start
) -> Iterator[Check]:
    last = _first(job, cylinder, start)
    yield last
    total = 0
    since = _Since(set(), start.cut_before_log)
    counted_in: CountedIn | None = None
    for line, done in entries:
        if start.cuts_metal(done.stones):
            since = _Since(set(), done.stones)
        elif done.count:
            total += done.count
            _refuse_other_count(counted_in, done, file, line)
            counted_in = done.counted_in
            since.used.add(done.stones)
        if not done.readings:
            continue
        at = temperatures_of(job, cylinder)
        if done.temperature is not None:
            at = at.model_copy(update={"bore": done.temperature})
        read = cylinder.model_copy(update={"readings": done.readings, "temperatures": at})
        used = since.used
        # Without strokes this is a repeat reading under the same stones.
        stones = None if len(used) > 1 else used.pop() if used else since.cut or last.stones
        bore = at_20(job, read)
        check = Check(
            number=last.number + 1,
            line=line,
            count=total,
            stones=stones,
            counted_in=counted_in or "strokes",
            temperature=at.bore,
            read=read,
            bore=bore,
            own=frozenset((reading.depth, reading.angle) for reading in deciding(bore)),
            aside=_aside(bore),
            cut=since.cut,
            apart=SIGMAS * sqrt(2) * (gauge_scatter(job) or ASSUMED),
        )
        if total == last.count and not since.cut:
            check = _read_again(job, last, check)
        since = _Since(set())
        last = check
        yield check


def _first(job: Job, cylinder: Cylinder, start: Start) -> Check:
    """Return what a log starts from: the job's readings, or a new sleeve."""
    read = cylinder if start.restored_bore is None else sleeved(job, cylinder, start.restored_bore)
    bore = at_20(job, read)
    own = frozenset((reading.depth, reading.angle) for reading in deciding(bore))
    at = temperatures_of(job, read).bore
    return Check(0, 0, 0, "", "strokes", at, read, bore, own, _aside(bore))


def _aside(bore: Cylinder) -> Places:
    """Return the local sizes that do not decide."""
    return {(r.depth, r.angle): r.size for r in bore.readings if not bore.decides(r)}


def _read_again(job: Job, last: Check, check: Check) -> Check:
    """Return a check without strokes since the last one, combined with that one.

    Places without a new reading keep the old one. The check replaces the last one where it lacks
    some of its places or contradicts it: the later reading prevails.
    """
    was, now = last.places, check.places
    changes = [now[place] - was[place] for place in now.keys() & was.keys()]
    alike = median(changes) if len(changes) >= _ALIKE else 0.0
    warm = {check.temperature, last.temperature} != {REFERENCE}
    whole = SIGMAS * sqrt(2) * check_noise(job, check.bore, 1, warm=warm).extreme
    differs = abs(alike) > whole or any(abs(by - alike) > check.apart for by in changes)
    if not differs and not was.keys() - now.keys():
        return check
    again = {(reading.depth, reading.angle) for reading in check.read.readings}
    # The other places, corrected to the present bore temperature: equal expansion, within a tick.
    warmer = (check.read.readings[0].size - check.bore.readings[0].size) - (
        last.read.readings[0].size - last.bore.readings[0].size
    )
    others = tuple(
        larger(reading, warmer)
        for reading in last.read.readings
        if (reading.depth, reading.angle) not in again
    )
    read = check.read.model_copy(update={"readings": (*check.read.readings, *others)})
    return replace(
        check,
        read=read,
        bore=at_20(job, read),
        stones=last.stones,
        cut=last.cut,
        replaces=True,
    )


def larger(reading: Reading, by: int) -> Reading:
    dial = None if reading.dial is None else reading.dial + by
    changed = {"size": reading.size + by, "dial": dial, "repeats": ()}
    return reading.model_copy(update=changed)


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
