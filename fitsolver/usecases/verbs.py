"""The verbs on records: what the files of `service` and the page both ask."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fitsolver import __version__
from fitsolver.base.errors import InputError
from fitsolver.doubts.set_aside import cautions_of
from fitsolver.picking.decide import (
    Progress,
    decide,
    made_ready,
    of_measuring,
    question_of,
    seconds,
)
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer
from fitsolver.records.verdicts import FitsAnswer

if TYPE_CHECKING:
    from datetime import date

    from fitsolver.base.lengths import Unit
    from fitsolver.paper import Paper, WorkSheet
    from fitsolver.plots import Drawing
    from fitsolver.records.allotment import AllotmentAnswer, Shop
    from fitsolver.records.alternatives import AlternativesAnswer
    from fitsolver.records.arrived import ArrivedAnswer
    from fitsolver.records.budget import Batch, BudgetAnswer
    from fitsolver.records.final import FinalAnswer
    from fitsolver.records.firm import FirmAnswer
    from fitsolver.records.forms_answer import FormsAnswer
    from fitsolver.records.ladder import LadderAnswer
    from fitsolver.records.pairing import MeasuredBore, MeasuredPiece, PairAnswer
    from fitsolver.records.stages import StagesAnswer
    from fitsolver.records.why import WhyAnswer


def reasons(job: Job, catalogue: Catalogue) -> WhyAnswer:
    """Return the reasons of a job's plan, or of there being none; see `why`."""
    from fitsolver.explain.binding import choice_reasons
    from fitsolver.explain.competing import many_too_few
    from fitsolver.explain.why import nothing_fits
    from fitsolver.picking.checked_plan import checked_plan
    from fitsolver.planning.cautions import cautions
    from fitsolver.records.why import WhyAnswer
    from fitsolver.solving.problem import problem
    from fitsolver.solving.solve import Solution, best

    ready = made_ready(job, catalogue)
    task = problem(ready.job, catalogue)
    few = many_too_few(task) is not None
    found = Solution(None, (), settled=True) if few else best(task)
    answer = WhyAnswer(
        program_version=__version__,
        job=job.name,
        catalogue=catalogue.name,
        unit=job.unit,
        currency=catalogue.currency,
        status="nothing fits" if found.selection is None else "proven best",
    )
    if found.selection is None:
        told = nothing_fits(task, ready)
        update: dict[str, object] = {
            "conflicts": told.conflicts,
            "near_misses": told.near_misses,
            "openings": told.openings,
            "cautions": (
                *_asked(job, catalogue),
                *of_measuring(ready),
                *cautions(ready.job, catalogue, None, ()),
            ),
        }
        return answer.model_copy(update=update)
    plan = checked_plan(task, found)
    told_of = tuple(choice_reasons(task, found.selection, plan))
    return answer.model_copy(update={"choices": told_of, "cautions": _asked(job, catalogue)})


def _asked(job: Job, catalogue: Catalogue) -> tuple[str, ...]:
    """Return the cautions about what a job does not ask, and what it accepts against a doubt."""
    from fitsolver.choices.asked import question_cautions

    return (*question_cautions(question_of(job, catalogue)), *cautions_of(catalogue))


def how_firm(job: Job, catalogue: Catalogue, *, progress: Progress | None = None) -> FirmAnswer:
    """Return how far the figures of a job may go before its pick changes; see `firm`."""
    from fitsolver.explain.firmness import firmness

    answer = decide(job, catalogue, progress=progress, rows_back=False)
    return firmness(made_ready(job, catalogue), catalogue, answer)


def next_plans(
    job: Job,
    catalogue: Catalogue,
    *,
    count: int = 5,
    front: bool = False,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> AlternativesAnswer:
    """Return the best plans of a job that differ in parts or routes; see `alternatives`."""
    if count < 1:
        raise InputError("no plan is asked for", field="count", found=count, allowed="1 or more")
    from fitsolver.base.deadline import Clock
    from fitsolver.picking.next_best import next_best

    clock = Clock(seconds(time_limit), progress)
    ready = made_ready(job, catalogue)
    answer = next_best(ready, catalogue, count, clock, with_front=front)
    extra = (*_asked(job, catalogue), *of_measuring(ready))
    return answer.model_copy(update={"cautions": (*extra, *answer.cautions)})


def sizes_left(
    job: Job,
    catalogue: Catalogue,
    *,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> LadderAnswer:
    """Return the larger sizes and the rebuilds left of a job's cylinders; see `ladder`."""
    from fitsolver.planning.larger_sizes import ladders
    from fitsolver.records.ladder import LadderAnswer
    from fitsolver.reporting.ladder_view import ladder_cautions

    answer = decide(job, catalogue, time_limit=time_limit, progress=progress, rows_back=False)
    found = ladders(made_ready(job, catalogue).job, catalogue, answer.plan)
    return LadderAnswer(
        program_version=__version__,
        job=job.name,
        catalogue=catalogue.name,
        unit=job.unit,
        status=answer.status,
        cylinders=found,
        cautions=(*cautions_of(catalogue), *ladder_cautions(found)),
    )


def final_verdict(job: Job, catalogue: Catalogue) -> FinalAnswer:
    """Return the verdict on every fit of a job's finished cylinders; see `final`."""
    from fitsolver.records.final import FinalAnswer
    from fitsolver.usecases.final_check import final_check, verdict_of

    ready = made_ready(job, catalogue)
    found = final_check(ready.job, catalogue)
    failed = any(item.verdict == "fail" for item in found.cylinders)
    failed = failed or not all(item.holds for item in found.together)
    judged = all(item.judged for item in found.cylinders)
    return FinalAnswer(
        program_version=__version__,
        job=job.name,
        catalogue=catalogue.name,
        unit=job.unit,
        cylinders=found.cylinders,
        together=found.together,
        passes=judged and not failed,
        verdict=verdict_of(failed=failed, judged=judged),
        judged=judged,
        probability=found.probability,
        odds_of=found.odds_of,
        corrections=ready.corrections,
        cautions=(*_asked(job, catalogue), *of_measuring(ready), *found.cautions),
    )


def when_arrived(
    job: Job, catalogue: Catalogue, ordered: Answer, *, progress: Progress | None = None
) -> ArrivedAnswer:
    """Return whether what was ordered by an answer serves as it was measured; see `arrived`.

    Raises InputError for an answer without a plan, and for one of other cylinders.
    """
    from fitsolver.records.arrived import ArrivedAnswer
    from fitsolver.usecases import parts_arrived as bench

    then = bench.ordered_plan(ordered)
    bench.check_same(job, then)
    here = bench.on_the_bench(job, then, catalogue)
    task, bare = bench.as_ordered(here, then), bench.nothing_for_sale(catalogue, here)
    answer = decide(task, bare, progress=progress, rows_back=False)
    found = ArrivedAnswer(
        program_version=__version__,
        job=job.name,
        catalogue=catalogue.name,
        unit=job.unit,
        currency=catalogue.currency,
        status="ordered parts serve" if answer.plan else "undecided",
        cylinders=bench.compared(then, answer.plan),
        plan=answer.plan,
        cautions=answer.cautions,
    )
    if answer.no_fit is None:
        return found
    from fitsolver.explain.piece_reasons import true_reasons

    other = decide(bench.unpinned(here, then), catalogue, progress=progress, rows_back=False)
    changed: dict[str, object] = {
        "status": {"nothing fits": "nothing fits", "undecided": "undecided"}.get(
            other.status, "order again"
        ),
        "cylinders": bench.compared(then, other.plan),
        "reasons": true_reasons(made_ready(task, bare).job, bare, answer.no_fit),
        "plan": other.plan,
        "cautions": other.cautions,
    }
    if other.plan is not None:
        changed["again"] = tuple(line for line in other.plan.order if line.source != "in hand")
        changed["left_over"] = bench.left_over(job, then, other.plan, catalogue)
    return found.model_copy(update=changed)


def forms_of(job: Job) -> FormsAnswer:
    """Return the form of every measured bore of a job; see `bore`."""
    from fitsolver.metrology.correct import corrected
    from fitsolver.metrology.form import bore_form
    from fitsolver.metrology.next_reading import next_reading
    from fitsolver.planning.cautions import form_cautions
    from fitsolver.records.forms_answer import FormsAnswer

    job, corrections = corrected(job, pistons=False)
    forms = tuple(
        bore_form(c, job.convention).model_copy(update={"next_reading": next_reading(job, c)})
        for c in job.cylinders
        if c.readings
    )
    return FormsAnswer(
        program_version=__version__,
        job=job.name,
        unit=job.unit,
        forms=forms,
        corrections=corrections,
        cautions=form_cautions(job, forms),
    )


def sets_for(job: Job, catalogue: Catalogue) -> FitsAnswer:
    """Return every part set for a job's bores as they are; see `part_sets`."""
    from fitsolver.planning.cautions import cautions
    from fitsolver.usecases.counter import sets_of

    return FitsAnswer(
        program_version=__version__,
        job=job.name,
        catalogue=catalogue.name,
        unit=job.unit,
        currency=catalogue.currency,
        sets=sets_of(made_ready(job, catalogue).job, catalogue),
        cautions=(*_asked(job, catalogue), *cautions(job, catalogue, None, ())),
    )


def budget_of(job: Job, catalogue: Catalogue | None, batch: Batch | None = None) -> BudgetAnswer:
    """Return the uncertainty budget of every fit of a job; see `budget`."""
    from fitsolver.metrology.batches import batch_risks
    from fitsolver.metrology.budgets import budgets
    from fitsolver.metrology.measuring import measured
    from fitsolver.planning.measuring_cautions import budget_cautions
    from fitsolver.records.budget import BudgetAnswer

    check_measured(job)
    ready = measured(job, catalogue)
    found = budgets(ready, catalogue)
    return BudgetAnswer(
        program_version=__version__,
        job=job.name,
        unit=job.unit,
        budgets=found,
        batch=() if batch is None else batch_risks(ready, found, batch),
        corrections=ready.corrections,
        cautions=budget_cautions(ready.job, found),
    )


def check_measured(job: Job, file: str = "") -> None:
    """Raise InputError for a job that does not say which instruments it was measured with."""
    if job.measuring is None or not (job.measuring.instruments or job.measuring.set_name):
        raise InputError(
            "the job does not say which instruments it was measured with",
            file=file,
            field="measuring",
            allowed="a [measuring] table with instruments",
        )


def in_stages(answer: Answer, catalogue: Catalogue) -> StagesAnswer:
    """Return the machining plan of an answer that `decide` gave with this catalogue."""
    from fitsolver.choices.asked import question_cautions
    from fitsolver.planning.stages import stages
    from fitsolver.records.stages import StagesAnswer

    return StagesAnswer(
        program_version=__version__,
        job=answer.job,
        catalogue=answer.catalogue,
        unit=answer.unit,
        finishing=answer.finishing,
        status=answer.status,
        cylinders=stages(answer, catalogue),
        no_fit=answer.no_fit,
        cautions=(*question_cautions(answer.question), *answer.cautions),
    )


def sheet_of(
    job: Job,
    catalogue: Catalogue,
    *,
    made_on: date,
    paper: Paper = "a4",
    unit: Unit | None = None,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> WorkSheet:
    """Return the sheet of a job, to print; see `sheet`."""
    from fitsolver.paper import work_sheet

    answer = decide(job, catalogue, time_limit=time_limit, progress=progress, doubting=True)
    ready = made_ready(job, catalogue).job
    stages = in_stages(answer, catalogue)
    return work_sheet(ready, answer, stages, made_on=made_on, paper=paper, unit=unit)


def profile_of(job: Job, unit: Unit | None = None) -> Drawing | None:
    """Return the drawing of every measured bore of a job; None where none was measured."""
    from fitsolver.metrology.correct import corrected
    from fitsolver.plots import bore_profile

    forms = forms_of(job).forms
    return bore_profile(corrected(job, pistons=False)[0], forms, unit=unit) if forms else None


def allot_shop(
    shop: Shop,
    *,
    time_limit: float | None = None,
    progress: Progress | None = None,
    last: AllotmentAnswer | None = None,
    scheduler: str | None = None,
    workers: int | None = None,
) -> AllotmentAnswer:
    """Return who of a shop gets what, proven best and every plan checked without the solver.

    `time_limit` is in seconds for the search, without one it ends when all is proven; after
    it, or Ctrl-C, the best found is returned with its gap. `last` is an answer to start from.
    Jobs that no scarce part joins are decided apart: in so many processes as `workers` says
    (None: as this machine has cores), or on the cluster of a Dask scheduler.
    """
    from fitsolver.allotment.allot import allot
    from fitsolver.allotment.spread import Spread

    where = Spread(scheduler, workers)
    return allot(shop, time_limit=time_limit, progress=progress, last=last, where=where)


def pair_measured(
    bores: Sequence[MeasuredBore],
    pieces: Sequence[MeasuredPiece],
    low: int,
    high: int,
    *,
    unit: Unit = "mm",
    time_limit: float | None = None,
) -> PairAnswer:
    """Return the best pairing of measured bores and pieces (ticks of 10 nm); see `pair`.

    `low` and `high` are the window on bore minus piece. Raises InputError for sizes of zero or
    less, names that are there twice, empty sides and a lowest clearance above the highest.
    """
    from fitsolver.pairing.answer import answer_of, paired
    from fitsolver.pairing.clock import until
    from fitsolver.pairing.measured import side_of_bores, side_of_pieces
    from fitsolver.pairing.window import checked_window

    window = checked_window(low, high)
    expired = until(seconds(time_limit))
    found = paired(side_of_bores(bores), side_of_pieces(pieces), window, unit, expired)
    return answer_of(found, unit, None, None)
