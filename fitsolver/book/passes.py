"""The passes of a hone log as entries of the book, numbered cylinder by cylinder."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.book.entries import document, keyed
from fitsolver.book.lines import markings
from fitsolver.doubts.refusal import refusal
from fitsolver.honing.checks import Check
from fitsolver.honing.doubts import judged
from fitsolver.honing.log import Entry
from fitsolver.honing.start import Start
from fitsolver.metrology.form import extremes
from fitsolver.records.book import BookEntry, BookLine
from fitsolver.records.hone import HonePass
from fitsolver.records.job import Cylinder, Job

#: The book knows no plan: a bore may have been honed at once, after a bar's cut, or sleeved.
_STARTS: Final = (Start(), Start(cut_before_log="bore"), Start(cut_before_log="sleeve"))


def pass_entries(
    job: Job,
    passes: Iterable[HonePass],
    date: dt.date,
    jobs: dict[str, str],
    accepted: frozenset[str] = frozenset(),
) -> list[BookEntry]:
    """Return all passes of a job, with the bore as read after each.

    `jobs` is the key of the job in the book that each marking was last added with, `accepted` are
    the ids of doubts that the log accepts beside the job's. Raises InputError for impossible
    passes: another cylinder, doubted readings.
    """
    known = markings(job)
    by_name: defaultdict[str, list[HonePass]] = defaultdict(list)
    for done in passes:
        if done.cylinder not in known:
            raise InputError(
                "the passes name a cylinder that the job does not have",
                file=job.name,
                field="cylinder",
                found=done.cylinder,
                allowed=", ".join(known),
            )
        by_name[done.cylinder].append(done)
    named = accepted | {*job.accept}
    return [
        keyed(
            kind="pass",
            date=date,
            title=job.name,
            unit=job.unit,
            job=jobs[known[name]],
            number=number,
            lines=(line,),
            documents={"pass": document(done)},
        )
        for name, cylinder in ((item.name, item) for item in job.cylinders)
        for number, (done, line) in enumerate(
            zip(
                by_name[name],
                _lines(job, cylinder, known[name], by_name[name], named),
                strict=True,
            ),
            start=1,
        )
    ]


def _checks(
    job: Job, cylinder: Cylinder, passes: list[HonePass], accepted: frozenset[str]
) -> list[Check]:
    """Return the checks of a log, from the start that leaves the fewest doubts."""
    entries = [Entry(0, done) for done in passes]
    read = (judged(job, cylinder, entries, job.name, start, accepted) for start in _STARTS)
    checks, doubts = min(read, key=lambda found: len(found[1]))
    if doubts:
        raise refusal(doubts)
    return checks


def _lines(
    job: Job,
    cylinder: Cylinder,
    marking: str,
    passes: list[HonePass],
    accepted: frozenset[str],
) -> list[BookLine]:
    """Return a line for each pass, with the bore at 20 °C where it was read afterwards."""
    checks = iter(_checks(job, cylinder, passes, accepted))
    next(checks)  # the job's own readings
    found = []
    for done in passes:
        line = BookLine(
            marking=marking,
            name=cylinder.name,
            family=job.family,
            material=cylinder.material,
            count=done.count,
        )
        if done.readings:
            bore = next(checks).bore.model_copy(update={"form_allowance": 0})
            smallest, largest = extremes(bore)
            line = line.model_copy(update={"smallest": smallest, "largest": largest})
        found.append(line)
    return found
