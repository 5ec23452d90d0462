"""The head of every answer: the program that wrote it, its job, its catalogue and its unit.

A base class puts its fields first, so each holds what stands at the beginning of its documents, in
their order.
"""

from __future__ import annotations

from typing import Protocol, TypedDict

from fitsolver.base.lengths import Unit
from fitsolver.base.version import __version__
from fitsolver.records.base import Record


class Document(Record):
    """An answer: the version of its schema, and the program that wrote it."""

    schema_version: int
    program_version: str


class JobDocument(Document):
    """An answer about a job."""

    job: str


class BoreDocument(JobDocument):
    """An answer about the bores of a job, lengths in its unit."""

    unit: Unit


class PartsDocument(JobDocument):
    """An answer about a job and the parts of a catalogue, lengths in the job's unit."""

    catalogue: str
    unit: Unit


class JobHead(TypedDict):
    """The head of an answer about a job."""

    program_version: str
    job: str
    unit: Unit


class PartsHead(JobHead):
    """The head of an answer about a job and a catalogue."""

    catalogue: str


class Named(Protocol):
    """A catalogue, known by its name."""

    @property
    def name(self) -> str: ...


class NamedJob(Named, Protocol):
    """A job, known by its name, with the unit of its lengths."""

    @property
    def unit(self) -> Unit: ...


def job_head(job: NamedJob) -> JobHead:
    """Return the head of an answer about a job."""
    return {"program_version": __version__, "job": job.name, "unit": job.unit}


def parts_head(job: NamedJob, catalogue: Named) -> PartsHead:
    """Return the head of an answer about a job and a catalogue."""
    return {**job_head(job), "catalogue": catalogue.name}


class Headed(Protocol):
    """An answer about a job and a catalogue."""

    @property
    def job(self) -> str: ...

    @property
    def catalogue(self) -> str: ...

    @property
    def unit(self) -> Unit: ...


def head_like(answer: Headed) -> PartsHead:
    """Return the head of another answer about the job and catalogue of this one."""
    return {
        "program_version": __version__,
        "job": answer.job,
        "catalogue": answer.catalogue,
        "unit": answer.unit,
    }
