"""A job and its catalogue, read from their files and held against each other."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from fitsolver.errors import InputError
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job

if TYPE_CHECKING:
    from fitsolver.doubts.look import Origins
    from fitsolver.reading.readings import Taken


def load(
    job_file: str | Path, catalogue: str | Path | None = None, *, accept_outliers: bool = False
) -> tuple[Job, Catalogue]:
    """Read a job and its catalogue: the folder given, or the one that the job names.

    `accept_outliers` accepts the doubts of all readings. Raises InputError for bad input, for a
    job without a catalogue, and as `hold_together` does.
    """
    from fitsolver.reading.catalogue_folder import read_catalogue
    from fitsolver.reading.job_file import catalogue_folder, read_job

    job_file = Path(job_file)
    origins: dict[tuple[str, int, int], Taken] = {}
    job = read_job(job_file, accept_outliers=accept_outliers, origins=origins)
    folder = catalogue_folder(job, job_file) if catalogue is None else Path(catalogue)
    if folder is None:
        raise InputError(
            "no catalogue is named",
            file=str(job_file),
            field="catalogue",
            allowed="a folder, here or given with --catalogue",
        )
    parts = read_catalogue(folder)
    hold_together(job, parts, str(job_file), origins)
    return job, parts


def load_job(
    job_file: str | Path, *, accept_outliers: bool = False, windows_needed: bool = True
) -> Job:
    """Read a job by itself; its figures are held against each other.

    Where no windows are needed those that are not filled in yet are left out.

    Raises InputError for bad input, and for figures that are doubted and not accepted.
    """
    from fitsolver.doubts.job import refuse_doubts
    from fitsolver.doubts.look import Look
    from fitsolver.reading.job_file import read_job

    origins: dict[tuple[str, int, int], Taken] = {}
    job = read_job(
        Path(job_file),
        accept_outliers=accept_outliers,
        windows_needed=windows_needed,
        origins=origins,
    )
    refuse_doubts(Look(job, None, str(job_file), origins))
    return job


def hold_together(
    job: Job, catalogue: Catalogue, file: str = "", origins: Origins | None = None
) -> None:
    """Raise InputError where a job and its catalogue do not make a whole question.

    It is of another engine, names what the catalogue has not, leaves a fit neither asked nor open
    by name, has a window or pin that binds nothing, or a figure that is doubted and not accepted.
    `file` is what messages call the job, `origins` tell where its readings were typed.
    """
    from fitsolver.doubts.job import refuse_doubts
    from fitsolver.doubts.look import Look
    from fitsolver.question.asked import refuse_missing
    from fitsolver.question.binding import refuse_idle
    from fitsolver.reading.catalogue_folder import check_family
    from fitsolver.reading.known_parts import check_parts
    from fitsolver.reading.plausible import check_readings

    check_family(job, catalogue)
    check_parts(job, catalogue)
    named = file or f"job '{job.name}'"
    refuse_idle(job, catalogue, named)
    refuse_missing(job, catalogue, named)
    refuse_doubts(Look(job, catalogue, named, origins or {}))
    check_readings(job, catalogue)
