"""The job of a request of the API: a record, or the text of a job file with its sheets."""

from __future__ import annotations

from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field

from fitsolver.base.errors import InputError
from fitsolver.page.bench import content_of
from fitsolver.page.content import Content
from fitsolver.page.room import Room
from fitsolver.page.uploads import sheets_of
from fitsolver.reading.job_file import job_of
from fitsolver.reading.job_text import job_content
from fitsolver.reading.owners import with_family
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.usecases.loading import accepting, hold_together


class Asked(BaseModel):
    """A job, as a record (lengths in ticks of 10 nm) or as the text of a job file; a catalogue."""

    model_config = ConfigDict(extra="forbid")
    job: Job | str = Field(description="a job record, or the text of a job file (TOML)")
    catalogue: str = Field(
        max_length=200, description="key of a catalogue that is known here: see /api/catalogues"
    )
    sheets: dict[str, str] = Field(
        default={},
        max_length=12,
        description="the readings sheets that a job file's text names: the text of each by its "
        "name (CSV)",
    )
    accept: tuple[str, ...] = Field(
        default=(), description="ids of doubts whose figures are taken, beside the job's own"
    )
    accept_outliers: bool = Field(
        default=False, description="take readings that their neighbours contradict"
    )


def understood(asked: Asked, room: Room) -> tuple[Job, Catalogue]:
    """Return the job and catalogue of a request; raises InputError as a job file does.

    A record goes the way of a file: what no file can say is refused, whoever sends it.
    """
    content = content_of(asked.job) if isinstance(asked.job, str) else _content(asked.job)
    data = with_family(content, Path("job"), room.shelf.folder(asked.catalogue))
    sheets = sheets_of(data, [(name, text.encode()) for name, text in asked.sheets.items()])
    job = job_of(data, Path("job"), sheets, accept_outliers=asked.accept_outliers)
    job = accepting(job, asked.accept)
    return job, hold_together(job, room.shelf.get(asked.catalogue, job.family))


def _content(job: Job) -> Content:
    try:
        return job_content(job)
    except (ValueError, ArithmeticError) as error:
        raise InputError("this job cannot be", found=str(error)) from error
