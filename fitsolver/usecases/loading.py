"""A job and its catalogue, read from their files and checked against each other; typed lengths."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit, parse_length
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job

if TYPE_CHECKING:
    from fitsolver.doubts.look import Origins
    from fitsolver.reading.readings import Taken


@contextmanager
def in_file(job_file: str | Path) -> Iterator[None]:
    """Name the file of a job in refusals that know only its name."""
    try:
        yield
    except InputError as error:
        if error.file.startswith("job '"):
            error.file = f"{job_file}{error.file.rpartition(chr(39))[2]}"
        raise


def load(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
) -> tuple[Job, Catalogue]:
    """Read a job and its catalogue: the folder given, or the one that the job names.

    `accept` are ids of doubts whose figures are taken, beside those that the job accepts;
    `accept_outliers` accepts the doubts of all readings. The catalogue comes without its doubted
    rows. Raises InputError for bad input, for a job without a catalogue, and as `hold_together`.
    """
    from fitsolver.reading.catalogue_folder import check_family, read_catalogue
    from fitsolver.reading.job_file import catalogue_folder, job_of
    from fitsolver.reading.owners import read_owned
    from fitsolver.reading.refusals import Refusals
    from fitsolver.reading.shop_tables import of_shop

    job_file = Path(job_file)
    folder = None if catalogue is None else Path(catalogue)
    origins: dict[tuple[str, int, int], Taken] = {}
    file = read_owned(job_file, folder)
    if folder is None and "catalogue" not in file.data:
        refused = Refusals(str(job_file))
        refused.add(_no_catalogue(job_file))
        refused.take(job_of, file.data, job_file, job_file.parent)  # what else is not filled in
        refused.check()
    job = job_of(
        file.data,
        job_file,
        job_file.parent,
        accept_outliers=accept_outliers,
        origins=origins,
    )
    job = accepting(job, accept)
    folder = folder or catalogue_folder(job, job_file)
    if folder is None:
        raise _no_catalogue(job_file)
    parts = read_catalogue(folder, job.family)
    with in_file(job_file):
        check_family(job, parts)
        parts = of_shop(parts, file)
        return job, hold_together(job, parts, str(job_file), origins)


def _no_catalogue(job_file: Path) -> InputError:
    return InputError(
        "no catalogue is named",
        file=str(job_file),
        field="catalogue",
        allowed="a folder, here or given with --catalogue",
    )


def load_job(
    job_file: str | Path,
    *,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
    windows_needed: bool = True,
    catalogue: str | Path | None = None,
) -> Job:
    """Read a job by itself; its figures are held against each other.

    Where no windows are needed those that are not filled in yet are left out. Raises InputError
    for bad input, and for figures that are doubted and not accepted.
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
        catalogue=None if catalogue is None else Path(catalogue),
    )
    job = accepting(job, accept)
    refuse_doubts(Look(job, None, str(job_file), origins))
    return job


def accepting(job: Job, accept: Sequence[str]) -> Job:
    """Return the job with more ids of doubts that are accepted."""
    more = tuple(dict.fromkeys(one for one in accept if one not in job.accept))
    return job.model_copy(update={"accept": (*job.accept, *more)}) if more else job


def holding(accept: Sequence[str]) -> Callable[[Job, Catalogue], Catalogue]:
    """Return `hold_together` for jobs of several catalogues, with further ids accepted in all.

    A row is accepted in the catalogues that have it.
    """
    from fitsolver.doubts.accepting import of_catalogue

    def hold(job: Job, catalogue: Catalogue) -> Catalogue:
        return hold_together(accepting(job, of_catalogue(accept, catalogue)), catalogue)

    return hold


def hold_together(
    job: Job,
    catalogue: Catalogue,
    file: str = "",
    origins: Origins | None = None,
    *,
    judged: bool = False,
) -> Catalogue:
    """Return the catalogue that the job may use: without rows that are doubted (`set_aside`).

    Raises InputError where the two do not make a whole question: it is of another engine, names
    what the catalogue has not, leaves a fit neither asked nor open by name, has a window or pin
    that binds nothing, or a figure or a row it names that is doubted and not accepted. `file` is
    what messages call the job, `origins` tell where its readings were typed. `judged`: the doubts
    of its figures as they are were looked for before.
    """
    from fitsolver.choices.asked import refuse_missing
    from fitsolver.choices.binding import refuse_idle
    from fitsolver.choices.current import with_current_numbers
    from fitsolver.choices.stated import with_stated
    from fitsolver.doubts.job import refuse_doubts, refuse_named, refuse_places
    from fitsolver.doubts.look import Look
    from fitsolver.doubts.set_aside import trusted
    from fitsolver.reading.catalogue_folder import check_family
    from fitsolver.reading.known_parts import check_parts
    from fitsolver.reading.plausible import check_readings

    check_family(job, catalogue)
    asked = job
    job = with_current_numbers(job, catalogue)
    check_parts(job, catalogue)
    named = file or f"job '{job.name}'"
    job = with_stated(job, catalogue)
    look = Look(job, catalogue, named, origins or {})
    refuse_places(look)  # before what follows from them
    refuse_idle(job, catalogue, named)
    refuse_missing(job, catalogue, named)
    refuse = refuse_named if judged and job is asked else refuse_doubts
    refuse(look)
    check_readings(job, catalogue)
    return trusted(job, catalogue)


def length_given(text: str | None, unit: Unit, field: str) -> int | None:
    """Return a length given as text, in its own unit or in `unit` (ticks); None for None.

    Raises InputError with the field unless it is a length above zero.
    """
    if text is None:
        return None
    try:
        length = parse_length(text, unit)
    except ValueError as error:
        raise InputError(str(error), field=field, found=text, allowed="a length") from error
    if length <= 0:
        raise InputError("must be above zero", field=field, found=text, allowed="a length above 0")
    return length
