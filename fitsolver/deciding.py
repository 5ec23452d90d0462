"""A job decided: made ready, solved, written out, checked; and what the answer carries along."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from fitsolver import __version__
from fitsolver.errors import InputError
from fitsolver.measured import Measured
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer, NoFit, Plan, Question, Status

if TYPE_CHECKING:
    from fitsolver.solving.problem import Problem
    from fitsolver.solving.solve import Solution

Progress = Callable[[str, float], None]


def decide(
    job: Job,
    catalogue: Catalogue,
    *,
    time_limit: float | None = None,
    progress: Progress | None = None,
    doubting: bool = False,
) -> Answer:
    """Return the best plan of a job, checked without the solver, or why nothing fits.

    With `doubting` a reading that alone decides, off what the others of its bore say, is refused
    as a doubt (see `fitsolver.reread`).

    `time_limit` is in seconds of wall time; without one the answer is proven, unless Ctrl-C
    ends the search: then it is the best found, or KeyboardInterrupt where none was.
    `progress` is told each level as it is begun, with the seconds gone. Raises InputError
    for parts, routes or alloys nobody knows, CheckError when the check disagrees.
    """
    answer = _decided(job, catalogue, time_limit=time_limit, progress=progress)
    if doubting:
        from fitsolver.reread import refuse_decisive

        refuse_decisive(
            job, catalogue, answer, lambda other: _decided(other, catalogue, time_limit=time_limit)
        )
    return answer


def _decided(
    job: Job,
    catalogue: Catalogue,
    *,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> Answer:
    from fitsolver.solving.problem import problem
    from fitsolver.solving.search import Clock
    from fitsolver.solving.solve import best

    ready = made_ready(job, catalogue)
    clock = Clock(seconds(time_limit), progress)
    task = problem(ready.job, catalogue)
    solution = best(task, clock)
    if solution.selection is None:
        if not solution.settled:
            return _answer(task, ready, "undecided")
        from fitsolver.solving.gauge_reasons import with_gauge
        from fitsolver.solving.reasons import no_fit

        why = with_gauge(no_fit(task), ready, catalogue)
        return _answer(task, ready, "nothing fits", no_fit=why)
    return answered(task, ready, solution)


def answered(task: Problem, ready: Measured, solution: Solution) -> Answer:
    """Return a solution as an answer, its plan checked; raises CheckError when that disagrees."""
    from fitsolver.checked_plan import checked_plan

    plan = checked_plan(task, solution)
    return _answer(task, ready, "proven best" if solution.proven else "best found", plan=plan)


def seconds(time_limit: float | None) -> float | None:
    """Return a time limit; raises InputError for one that is no time."""
    if time_limit is not None and not time_limit > 0:
        raise InputError(
            "this is no time", field="time limit", found=time_limit, allowed="seconds above 0"
        )
    return time_limit


def made_ready(job: Job, catalogue: Catalogue | None = None) -> Measured:
    """Return the job at 20 °C with its guards, and with the wear that earlier records tell.

    The metrology is loaded only where it is needed.
    Raises InputError where rebuilds count in what is best but cannot be counted.
    """
    if any(cylinder.earlier for cylinder in job.cylinders):
        from fitsolver.metrology.wear import with_wear

        job = with_wear(job)
    if catalogue is not None and "rebuilds_left" in job.best:
        from fitsolver.rebuilds import ahead

        ahead(job, catalogue)
    if job.measuring is None and all(c.temperatures is None for c in job.cylinders):
        return Measured(job, job)
    from fitsolver.measuring import measured

    return measured(job, catalogue)


def _answer(
    task: Problem,
    ready: Measured,
    status: Status,
    *,
    plan: Plan | None = None,
    no_fit: NoFit | None = None,
) -> Answer:
    from fitsolver.reporting.cautions import cautions

    job, catalogue = task.job, task.catalogue
    forms = tuple(state.form for state in task.cylinders if state.form is not None)
    return Answer(
        program_version=__version__,
        job=job.name,
        job_fingerprint=job.fingerprint,
        catalogue=catalogue.name,
        catalogue_fingerprint=catalogue.fingerprint,
        unit=job.unit,
        currency=catalogue.currency,
        finishing=job.finishing,
        status=status,
        question=question_of(ready.stated, catalogue),
        forms=forms,
        decision="plain" if job.measuring is None else job.measuring.decision,
        corrections=ready.corrections,
        plan=plan,
        no_fit=no_fit,
        cautions=(*of_measuring(ready), *cautions(job, catalogue, plan, forms)),
    )


def question_of(job: Job, catalogue: Catalogue) -> Question:
    """Return what a job asks, what it does not, and what it accepts against a doubt."""
    from fitsolver.doubts.job import accepted_doubts
    from fitsolver.doubts.look import Look
    from fitsolver.question.asked import question

    accepted = accepted_doubts(Look(job, catalogue)) if job.accept else ()
    return question(job, catalogue, accepted)


def of_measuring(ready: Measured) -> tuple[str, ...]:
    """Return the cautions about how a job was measured."""
    if ready.job.measuring is None and not ready.corrections:
        return ()
    from fitsolver.reporting.measuring_cautions import measuring_cautions

    return measuring_cautions(ready.stated)
