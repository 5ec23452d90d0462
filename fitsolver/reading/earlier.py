"""Earlier records of a cylinder in a job file: `[[cylinder.earlier]]`, read and written."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, Final

from fitsolver.base.lengths import format_length
from fitsolver.reading.job_keys import KEYS
from fitsolver.reading.sections import Section
from fitsolver.records.wear import EarlierRecord

#: No bore wears by this share (percent) of itself between two rebuilds.
JOB_PERCENT: Final = 10
_NEW_BORE = "records since the bore was last new: since the last liner or plating"


def read_earlier(section: Section) -> tuple[EarlierRecord, ...]:
    """Return the earlier records of a cylinder, oldest first as they are listed.

    Raises InputError for days out of order, for a wear that no bore has, and for a bore that
    shrank: it is another one.
    """
    records: list[EarlierRecord] = []
    for inner in section.sections("earlier", KEYS["cylinder.earlier"]):
        record = EarlierRecord(
            date=inner.need("date", inner.day("date"), "a date without quotes: 2027-03-01"),
            left=inner.need("left", inner.length("left", above=0)),
            found=inner.need("found", inner.length("found", above=0)),
            uncertainty=inner.length("uncertainty", above=0),
        )
        _check(inner, record, records[-1] if records else None)
        records.append(record)
    return tuple(records)


def _check(inner: Section, record: EarlierRecord, before: EarlierRecord | None) -> None:
    if before is not None and record.date <= before.date:
        raise inner.error(
            "date",
            f"this is not after the day of the record before, {before.date}",
            allowed="each day once, oldest first",
        )
    if record.shrank:
        size = format_length(record.left, inner.unit, symbol=True)
        raise inner.error("found", f"the bore had left larger, with {size}", allowed=_NEW_BORE)
    if record.wear * 100 > JOB_PERCENT * record.left:
        size = format_length(record.left, inner.unit, symbol=True)
        raise inner.error(
            "found",
            f"no bore wears so far; it had left with {size}",
            allowed=f"at most {JOB_PERCENT}% more than `left`",
        )
    if before is not None and not record.follows(before):
        size = format_length(before.found, inner.unit, symbol=True)
        raise inner.error(
            "left", f"the bore was found larger before, with {size}", allowed=_NEW_BORE
        )


def earlier_sections(
    records: Iterable[EarlierRecord], length: Callable[[int], Any]
) -> tuple[dict[str, Any], ...]:
    """Return earlier records as plain data for a job file; `length` writes one of ticks."""
    return tuple(
        {
            "date": record.date,
            "left": length(record.left),
            "found": length(record.found),
            **({} if record.uncertainty is None else {"uncertainty": length(record.uncertainty)}),
        }
        for record in records
    )
