"""A job decided: made ready, solved, written out, checked; with the rest of its answer."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from fitsolver.base.deadline import Clock, Progress, seconds
from fitsolver.base.running import TimeOverError, heard, within
from fitsolver.doubts.question import question_of
from fitsolver.metrology.measured import Measured
from fitsolver.picking.ready import made_ready, of_measuring
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.heading import parts_head
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer, NoFit, Plan, RowLeftOut, Status

if TYPE_CHECKING:
    from fitsolver.explain.joined import Joined
    from fitsolver.solving.problem import Problem
    from fitsolver.solving.solve import Solution


#: Infeasibility is proven; the reasons were not found in time.
NOT_FOUND: Final = NoFit(
    reasons=(),
    ways_left=(
        "that nothing fits is proven, but the time was over before it was found out why: "
        "`fitsolver why`, or a longer --time-limit",
    ),
)


class Decided(NamedTuple):
    """A job as it was made ready, and what was decided of it."""

    ready: Measured
    answer: Answer


def decide(
    job: Job,
    catalogue: Catalogue,
    *,
    time_limit: float | None = None,
    progress: Progress | None = None,
    doubting: bool = False,
    rows_back: bool = True,
) -> Answer:
    """Return the best plan of a job, checked without the solver, or why nothing fits.

    With `doubting`, a reading is refused as a doubt if it alone decides the plan and stands off its
    neighbours (see `fitsolver.picking.reread`). A caution names the readings not tried before the
    time or Ctrl-C ended the trials.

    `time_limit` is in seconds of wall time; without one the answer is proven. Ctrl-C ends the
    search with the best plan found; without one it raises KeyboardInterrupt. `progress` is told
    each level as it is begun, with the seconds gone. If doubted catalogue rows are left out, the
    job is solved again with them in the remaining time, to show their effect; `rows_back` False
    skips this. Raises InputError for unknown parts, routes or alloys, CheckError when the check
    disagrees.
    """
    return decided(
        job,
        catalogue,
        time_limit=time_limit,
        progress=progress,
        doubting=doubting,
        rows_back=rows_back,
    ).answer


def decided(
    job: Job,
    catalogue: Catalogue,
    *,
    time_limit: float | None = None,
    progress: Progress | None = None,
    doubting: bool = False,
    rows_back: bool = True,
) -> Decided:
    """Return the answer of `decide` together with the job made ready that it was decided from."""
    clock = Clock(seconds(time_limit), progress)
    ready = made_ready(job, catalogue)
    answer = _decided(ready, catalogue, clock, rows_back=rows_back)
    if doubting and answer.status != "undecided":
        from fitsolver.picking.reread import refuse_decisive

        clock.progress = None

        def again(other: Job) -> Answer:
            return _decided(made_ready(other, catalogue), catalogue, clock, rows_back=False)

        untried = refuse_decisive(job, catalogue, answer, again, clock)
        answer = answer.model_copy(update={"cautions": (*untried, *answer.cautions)})
    return Decided(ready, answer)


def _decided(ready: Measured, catalogue: Catalogue, clock: Clock, *, rows_back: bool) -> Answer:
    task, joined, solution = _solved(ready.job, catalogue, clock)
    with heard(clock.interrupt):
        if solution.selection is not None:
            return answered(task, ready, solution, clock if rows_back else None)
        if not solution.settled:
            from fitsolver.picking.rows_back import not_known

            return _answer(task, ready, "undecided", aside=not_known(catalogue))
        why = _why(task, joined, ready, clock)
        aside = _rows_left(task, None, clock) if rows_back else ()
        return _answer(task, ready, "nothing fits", no_fit=why, aside=aside)


def _solved(job: Job, catalogue: Catalogue, clock: Clock) -> tuple[Problem, Joined, Solution]:
    """Return the job's choices and its solution; KeyboardInterrupt on Ctrl-C without a solution."""
    from fitsolver.explain.competing import many_too_few
    from fitsolver.explain.joined import Joined
    from fitsolver.solving.problem import problem
    from fitsolver.solving.solve import Solution, best

    task = problem(job, catalogue)
    joined = Joined(task)
    none = Solution(None, (), settled=True)
    few = many_too_few(task) is not None
    return task, joined, none if few else best(task, clock, hopeless=joined.denied)


def _why(task: Problem, joined: Joined, ready: Measured, clock: Clock) -> NoFit:
    """Return the reasons that nothing fits, as far as found within the time."""
    from fitsolver.explain.aim_reasons import with_aim
    from fitsolver.explain.gauge_reasons import with_gauge
    from fitsolver.explain.reasons import no_fit

    found = NOT_FOUND
    try:
        with within(clock):
            found = no_fit(task, joined.closed())
            found = with_gauge(found, ready, task.catalogue)
            return with_aim(found, ready.job, task.catalogue)
    except TimeOverError:
        return found


def answered(
    task: Problem,
    ready: Measured,
    solution: Solution,
    clock: Clock | None = None,
) -> Answer:
    """Return a solution as an answer, its plan checked; raises CheckError when that disagrees.

    With a clock it also shows the effect of doubted rows left out.
    """
    from fitsolver.explain.passed_over import passed_over
    from fitsolver.picking.checked_plan import checked_plan

    assert solution.selection is not None
    plan = checked_plan(task, solution)
    status: Status = "proven best" if solution.proven else "best found"
    passed = passed_over(task, solution.selection)
    aside = () if clock is None else _rows_left(task, plan, clock)
    return _answer(task, ready, status, plan=plan, passed=passed, aside=aside)


def _rows_left(task: Problem, plan: Plan | None, clock: Clock) -> tuple[RowLeftOut, ...]:
    """Return the doubted rows left out, and their effect on the plan."""
    if not task.catalogue.set_aside:
        return ()
    from fitsolver.picking.rows_back import left_out, not_known

    try:
        with within(clock):
            return left_out(task.job, task.catalogue, plan, clock)
    except TimeOverError:
        return not_known(task.catalogue)


def _answer(
    task: Problem,
    ready: Measured,
    status: Status,
    *,
    plan: Plan | None = None,
    no_fit: NoFit | None = None,
    passed: tuple[str, ...] = (),
    aside: tuple[RowLeftOut, ...] = (),
) -> Answer:
    from fitsolver.planning.cautions import cautions

    job, catalogue = task.job, task.catalogue
    forms = tuple(state.form for state in task.cylinders if state.form is not None)
    return Answer(
        **parts_head(job, catalogue),
        job_fingerprint=job.fingerprint,
        catalogue_fingerprint=catalogue.fingerprint,
        currency=catalogue.currency,
        finishing=job.finishing,
        status=status,
        question=question_of(ready.stated, catalogue),
        forms=forms,
        decision="plain" if job.measuring is None else job.measuring.decision,
        corrections=ready.corrections,
        plan=plan,
        no_fit=no_fit,
        passed_over=passed,
        left_out=aside,
        cautions=(*of_measuring(ready), *cautions(job, catalogue, plan, forms)),
    )
