"""The verbs on a job file: paths in, records out. Tables and folders are read in `tables`.

Nothing here prints. Heavy imports happen in the verb that needs them, so that asking for
help or for a form report never loads the solver.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Concatenate, ParamSpec, TypeVar

from fitsolver.base.deadline import Progress
from fitsolver.base.errors import InputError
from fitsolver.picking.decide import decide
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer
from fitsolver.records.verdicts import FitsAnswer
from fitsolver.usecases.alternatives import next_plans
from fitsolver.usecases.arrived import when_arrived
from fitsolver.usecases.bore import forms_of
from fitsolver.usecases.budget import budget_of, check_measured
from fitsolver.usecases.final import final_verdict
from fitsolver.usecases.firm import how_firm
from fitsolver.usecases.fits import sets_for
from fitsolver.usecases.ladder import sizes_left
from fitsolver.usecases.loading import in_file, length_given, load, load_job
from fitsolver.usecases.pick import best_plan
from fitsolver.usecases.plan import planned
from fitsolver.usecases.why import reasons

if TYPE_CHECKING:
    from fitsolver.records.alternatives import AlternativesAnswer
    from fitsolver.records.arrived import ArrivedAnswer
    from fitsolver.records.budget import BudgetAnswer
    from fitsolver.records.final import FinalAnswer
    from fitsolver.records.firm import FirmAnswer
    from fitsolver.records.forms_answer import FormsAnswer
    from fitsolver.records.hone import HoneAnswer
    from fitsolver.records.ladder import LadderAnswer
    from fitsolver.records.stages import StagesAnswer
    from fitsolver.records.why import WhyAnswer
    from fitsolver.usecases.hone_file import HoneFile

P = ParamSpec("P")
A = TypeVar("A")
#: Job file, catalogue folder, ids of accepted doubts, and whether outliers are accepted.
Given = tuple[str | Path, str | Path | None, Sequence[str], bool]


def _of_files(
    verb: Callable[Concatenate[Job, Catalogue, P], A],
    given: Given,
    /,
    *more: P.args,
    **options: P.kwargs,
) -> A:
    """Return what a verb on records answers about a job file and its catalogue; see `load`."""
    job_file, catalogue, accept, accept_outliers = given
    job, parts = load(job_file, catalogue, accept=accept, accept_outliers=accept_outliers)
    with in_file(job_file):
        return verb(job, parts, *more, **options)


def why(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> WhyAnswer:
    """Return why a job file has no plan and what would open it, or why its plan is as it is.

    The answer holds the results found within the `time_limit` (seconds). Raises as `load` and
    `decide` do.
    """
    return _of_files(
        reasons,
        (job_file, catalogue, accept, accept_outliers),
        time_limit=time_limit,
        progress=progress,
    )


def pick(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> Answer:
    """Return the best plan of a job file; see `load` and `decide`."""
    given = (job_file, catalogue, accept, accept_outliers)
    return _of_files(best_plan, given, time_limit=time_limit, progress=progress)


def firm(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
    progress: Progress | None = None,
) -> FirmAnswer:
    """Return how far the figures of a job may go before its pick changes; see `pick`.

    Every figure is followed by whole solves of its own, so this takes many times as long.
    """
    return _of_files(how_firm, (job_file, catalogue, accept, accept_outliers), progress=progress)


def alternatives(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    count: int = 5,
    front: bool = False,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> AlternativesAnswer:
    """Return the best `count` plans of a job file that differ in parts or routes.

    Each is proven next best in the job's order and checked without the solver. `front` adds every
    plan that no other beats in total removal, price and days. Time and errors as with `decide`:
    at the end of the time the answer holds the plans found.
    """
    return _of_files(
        next_plans,
        (job_file, catalogue, accept, accept_outliers),
        count=count,
        front=front,
        time_limit=time_limit,
        progress=progress,
    )


def ladder(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> LadderAnswer:
    """Return the larger sizes and the rebuilds left of a job file's cylinders; see `pick`."""
    given = (job_file, catalogue, accept, accept_outliers)
    return _of_files(sizes_left, given, time_limit=time_limit, progress=progress)


def final(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
) -> FinalAnswer:
    """Return the verdict on every fit of finished cylinders with the parts the job names.

    Raises as `load` does, and InputError for a job that is not already finished or does not
    name the piston and rings of every cylinder.
    """
    return _of_files(final_verdict, (job_file, catalogue, accept, accept_outliers))


def arrived(
    job_file: str | Path,
    ordered: str | Path,
    catalogue: str | Path | None = None,
    *,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
    progress: Progress | None = None,
) -> ArrivedAnswer:
    """Return whether parts that were ordered serve as they were measured, and the new plan.

    `ordered` is the document that a pick wrote when they were ordered. Raises as `pick` does, and
    InputError where that document is of another kind, or of other cylinders.
    """
    from fitsolver.usecases.parts_arrived import read_answer

    given = (job_file, catalogue, accept, accept_outliers)
    return _of_files(when_arrived, given, read_answer(Path(ordered)), progress=progress)


def bore(
    job_file: str | Path, *, accept: Sequence[str] = (), accept_outliers: bool = False
) -> FormsAnswer:
    """Return the form of every measured bore of a job file; no catalogue is needed.

    `accept` and `accept_outliers` as with `load`. Raises InputError for bad input.
    """
    job = load_job(job_file, accept=accept, accept_outliers=accept_outliers, windows_needed=False)
    return forms_of(job)


def part_sets(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
) -> FitsAnswer:
    """Return every part set for the bores as they are, best first, with a verdict per rule.

    Raises as `load` does.
    """
    return _of_files(sets_for, (job_file, catalogue, accept, accept_outliers))


def budget(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    batch_spread: str | None = None,
    batch_mean: str | None = None,
) -> BudgetAnswer:
    """Return the uncertainty budget of every fit of a job file.

    The catalogue given, or the one the job names, tells the alloys of pistons; it may be
    missing. With the standard deviation of the true clearances of a batch (and their mean, else
    the middle of the window; lengths as text, in the job's unit or one of their own) also the
    consumer's and producer's risk. Raises InputError for bad input, and for a job that does not
    say how it was measured.
    """
    from fitsolver.reading.catalogue_folder import read_catalogue
    from fitsolver.reading.job_file import catalogue_folder
    from fitsolver.records.budget import Batch

    job = load_job(job_file, catalogue=catalogue)
    check_measured(job, str(job_file))
    folder = catalogue_folder(job, Path(job_file)) if catalogue is None else Path(catalogue)
    parts = None if folder is None else read_catalogue(folder, job.family)
    spread = length_given(batch_spread, job.unit, "batch spread")
    mean = length_given(batch_mean, job.unit, "batch mean")
    if mean is not None and spread is None:
        raise InputError(
            "a batch has a spread", field="batch spread", found="none", allowed="a length above 0"
        )
    return budget_of(job, parts, None if spread is None else Batch(spread=spread, mean=mean))


def machining_plan(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> StagesAnswer:
    """Return the machining plan of a job file: every route of the best plan in its stages.

    Raises as `load` and `decide` do; without a plan the answer has no cylinders but the reasons.
    """
    given = (job_file, catalogue, accept, accept_outliers)
    return _of_files(planned, given, time_limit=time_limit, progress=progress)


def at_the_hone(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    log: str | Path | None = None,
    risk: float = 0.05,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
) -> HoneFile:
    """Return a job with its plan and its log of passes, to read or to add to.

    The log is `log`, else beside the job file under its name, ending in `.hone`. `risk` is
    the greatest probability of passing the highest permitted size before the next check,
    `accept` the ids of doubts of the log that are taken as they are.
    Raises InputError as `load` does, for a job without a plan, and for a risk beyond 0.0001 to 0.5.
    """
    from fitsolver.honing.log import LogText
    from fitsolver.usecases.hone_file import HoneFile
    from fitsolver.usecases.honing import Hone

    if not 0.0001 <= risk <= 0.5:
        raise InputError("no such risk", field="risk", found=risk, allowed="0.0001 to 0.5")
    job, parts = load(job_file, catalogue, accept=accept, accept_outliers=accept_outliers)
    with in_file(job_file):
        answer = best_plan(job, parts)
    if answer.plan is None:
        raise InputError(
            "nothing fits, so there is no size to hone to; `fitsolver pick` says why",
            file=str(job_file),
        )
    path = Path(job_file).with_suffix(".hone") if log is None else Path(log)
    again = partial(decide, catalogue=parts, rows_back=False)
    begun = Hone(job, answer.plan, parts, LogText(b"", str(path)), risk, again, accept)
    return HoneFile(begun, path)


def hone(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    log: str | Path | None = None,
    cylinder: str | None = None,
    stones: str | None = None,
    risk: float = 0.05,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
) -> HoneAnswer:
    """Return where the bores stand by the log of passes, and what to do next.

    `cylinder` asks for one of them; `stones` are those to be used next. Doubts of the log that
    `accept` names are accepted, and the log keeps that. Raises as `at_the_hone` does, and for a
    log that cannot be understood or has readings that are doubted.
    """
    opened = at_the_hone(
        job_file, catalogue, log=log, risk=risk, accept=accept, accept_outliers=accept_outliers
    )
    answer = opened.answer(cylinder, stones)
    opened.keep_accepted()
    return answer
