"""A job and its catalogue, read from their files and held against each other."""

from __future__ import annotations

from pathlib import Path

from fitsolver.errors import InputError
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job


def load(
    job_file: str | Path, catalogue: str | Path | None = None, *, accept_outliers: bool = False
) -> tuple[Job, Catalogue]:
    """Read a job and its catalogue: the folder given, or the one that the job names.

    `accept_outliers` takes readings that their neighbours contradict. Raises InputError for bad
    input, for another family, and for a job without a catalogue.
    """
    from fitsolver.reading.catalogue_folder import read_catalogue
    from fitsolver.reading.job_file import catalogue_folder, read_job

    job_file = Path(job_file)
    job = read_job(job_file, accept_outliers=accept_outliers)
    folder = catalogue_folder(job, job_file) if catalogue is None else Path(catalogue)
    if folder is None:
        raise InputError(
            "no catalogue is named",
            file=str(job_file),
            field="catalogue",
            allowed="a folder, here or given with --catalogue",
        )
    parts = read_catalogue(folder)
    hold_together(job, parts)
    return job, parts


def hold_together(job: Job, catalogue: Catalogue) -> None:
    """Raise InputError where a job asks for what its catalogue has not, or is of another engine."""
    from fitsolver.reading.catalogue_folder import check_family
    from fitsolver.reading.known_parts import check_parts
    from fitsolver.reading.plausible import check_readings

    check_family(job, catalogue)
    check_parts(job, catalogue)
    check_readings(job, catalogue)
