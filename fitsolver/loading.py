"""A job and its catalogue, read from their files and held against each other."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from fitsolver.errors import InputError
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job


def load(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
) -> tuple[Job, Catalogue]:
    """Read a job and its catalogue: the folder given, or the one that the job names.

    `accept` are ids of doubts whose figures are taken, beside those that the job accepts;
    `accept_outliers` takes readings that their neighbours contradict. The catalogue comes without
    its doubted rows. Raises InputError for bad input, for another family, and for a job without a
    catalogue.
    """
    from fitsolver.reading.catalogue_folder import read_catalogue
    from fitsolver.reading.job_file import catalogue_folder, read_job

    job_file = Path(job_file)
    job = accepting(read_job(job_file, accept_outliers=accept_outliers), accept)
    folder = catalogue_folder(job, job_file) if catalogue is None else Path(catalogue)
    if folder is None:
        raise InputError(
            "no catalogue is named",
            file=str(job_file),
            field="catalogue",
            allowed="a folder, here or given with --catalogue",
        )
    parts = read_catalogue(folder)
    return job, hold_together(job, parts)


def accepting(job: Job, accept: Sequence[str]) -> Job:
    """Return the job with more ids of doubts that are accepted."""
    more = tuple(dict.fromkeys(one for one in accept if one not in job.accept))
    return job.model_copy(update={"accept": (*job.accept, *more)}) if more else job


def holding(accept: Sequence[str]) -> Callable[[Job, Catalogue], Catalogue]:
    """Return `hold_together` for jobs of several catalogues, all of which accept so much more.

    A row is accepted in the catalogues that have it.
    """
    from fitsolver.doubts.accepting import of_catalogue

    def hold(job: Job, catalogue: Catalogue) -> Catalogue:
        return hold_together(accepting(job, of_catalogue(accept, catalogue)), catalogue)

    return hold


def hold_together(job: Job, catalogue: Catalogue) -> Catalogue:
    """Return the catalogue that the job may use: without rows that are doubted (`set_aside`).

    Raises InputError where a job asks for what its catalogue has not, is of another engine, or
    names a row that is doubted.
    """
    from fitsolver.doubts.set_aside import trusted
    from fitsolver.reading.catalogue_folder import check_family
    from fitsolver.reading.known_parts import check_parts
    from fitsolver.reading.plausible import check_readings

    check_family(job, catalogue)
    check_parts(job, catalogue)
    check_readings(job, catalogue)
    return trusted(job, catalogue)
