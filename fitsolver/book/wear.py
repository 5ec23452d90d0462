"""The wear of a cylinder from its visits, as earlier records for a job."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from math import ceil
from typing import Any

from fitsolver.base.lengths import Unit, exact_text
from fitsolver.reading.earlier import earlier_sections
from fitsolver.reading.toml_text import Number, toml_text
from fitsolver.records.book import Visit
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.wear import EarlierRecord

Earlier = Mapping[str, tuple[EarlierRecord, ...]]


def earlier_records(visits: Iterable[Visit]) -> tuple[EarlierRecord, ...]:
    """Return a record for each wear of a cylinder, oldest first, since its bore was last new."""
    records: list[EarlierRecord] = []
    for visit in visits:
        if visit.wear is None or visit.found_largest is None:
            continue
        record = EarlierRecord(
            date=visit.date,
            left=visit.found_largest - visit.wear,
            found=visit.found_largest,
            uncertainty=ceil(visit.wear_uncertainty) if visit.wear_uncertainty else None,
        )
        if records and not record.follows(records[-1]):
            records.clear()  # a new bore left
        if record.shrank:
            records.clear()  # a new bore came
        elif not records or record.date > records[-1].date:
            records.append(record)  # of two on one day the engine ran before the first
    return tuple(records)


def with_earlier(job: Job, known: Earlier) -> Job:
    """Return a job that carries the earlier records `known`, by the names of its cylinders.

    Cylinders that carry records already keep theirs.
    """

    def carrying(cylinder: Cylinder) -> Cylinder:
        records = cylinder.earlier or known.get(cylinder.name, ())
        return cylinder.model_copy(update={"earlier": records})

    return job.model_copy(update={"cylinders": tuple(map(carrying, job.cylinders))})


def told_apart(job: Job, known: Earlier) -> Iterator[str]:
    """Yield a sentence for each cylinder with records in the book: the ones that count.

    `job` is the job as it was read.
    """
    for cylinder in job.cylinders:
        if count := len(known.get(cylinder.name, ())):
            records = "earlier record" if count == 1 else f"{count} earlier records"
            if cylinder.wear_per_rebuild is not None or job.wear_per_rebuild is not None:
                which = f"the wear that the job states counts, not the {records} of the book"
            elif cylinder.earlier:
                which = f"the earlier records in the job count, not the {records} of the book"
            else:
                which = f"the {records} {'is' if count == 1 else 'are'} the book's"
            yield f"Cylinder {cylinder.name}: {which}."


def earlier_text(job: Job, known: Earlier) -> str:
    """Return the sections of a job file that hold the records `known`, a comment before each
    cylinder's. They read back exactly, in the job's unit."""
    texts = []
    for cylinder in job.cylinders:
        if records := known.get(cylinder.name, ()):
            sections = earlier_sections(records, lambda ticks: _length(ticks, job.unit))
            text = toml_text({"earlier": sections}, ("cylinder",))
            texts.append(f"# cylinder {cylinder.name}: {cylinder.marking}{text}\n")
    return "\n".join(texts)


def _length(ticks: int, unit: Unit) -> Any:
    text = exact_text(ticks, unit)
    return text if text.endswith("mm") else Number(text)
