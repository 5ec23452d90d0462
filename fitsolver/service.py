"""The few verbs that all front ends call: files or records in, records out.

Nothing here prints. Heavy imports happen in the verb that needs them, so that asking for
help or for a form report never loads the solver.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from fitsolver import __version__
from fitsolver.deciding import Progress, decide, made_ready, of_measuring, seconds
from fitsolver.errors import InputError
from fitsolver.lengths import Unit, parse_length
from fitsolver.loading import load
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer
from fitsolver.records.verdicts import FitsAnswer

if TYPE_CHECKING:
    from fitsolver.honing import Hone
    from fitsolver.reading.job_template import NewJob
    from fitsolver.records.alternatives import AlternativesAnswer
    from fitsolver.records.arrived import ArrivedAnswer
    from fitsolver.records.budget import BudgetAnswer
    from fitsolver.records.final import FinalAnswer
    from fitsolver.records.firm import FirmAnswer
    from fitsolver.records.forms_answer import FormsAnswer
    from fitsolver.records.gauge import GaugeStudy
    from fitsolver.records.hone import HoneAnswer
    from fitsolver.records.ladder import LadderAnswer
    from fitsolver.records.review import CatalogueReview
    from fitsolver.records.stages import StagesAnswer
    from fitsolver.records.why import WhyAnswer


def why(
    job_file: str | Path, catalogue: str | Path | None = None, *, accept_outliers: bool = False
) -> WhyAnswer:
    """Return why a job file has no plan and what would open it, or why its plan is as it is.

    Raises as `load` and `decide` do.
    """
    return reasons(*load(job_file, catalogue, accept_outliers=accept_outliers))


def reasons(job: Job, catalogue: Catalogue) -> WhyAnswer:
    """Return the reasons of a job's plan, or of there being none; see `why`."""
    from fitsolver.checked_plan import checked_plan
    from fitsolver.records.why import WhyAnswer
    from fitsolver.reporting.cautions import cautions
    from fitsolver.solving.binding import choice_reasons
    from fitsolver.solving.problem import problem
    from fitsolver.solving.solve import best
    from fitsolver.solving.why import nothing_fits

    ready = made_ready(job, catalogue)
    task = problem(ready.job, catalogue)
    found = best(task)
    answer = WhyAnswer(
        program_version=__version__,
        job=job.name,
        catalogue=catalogue.name,
        unit=job.unit,
        currency=catalogue.currency,
        status="nothing fits" if found.selection is None else "proven best",
    )
    if found.selection is None:
        told = nothing_fits(task)
        update: dict[str, object] = {
            "conflicts": told.conflicts,
            "near_misses": told.near_misses,
            "openings": told.openings,
            "cautions": (*of_measuring(ready), *cautions(ready.job, catalogue, None, ())),
        }
        return answer.model_copy(update=update)
    plan = checked_plan(task, found)
    return answer.model_copy(update={"choices": tuple(choice_reasons(task, found.selection, plan))})


def pick(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    accept_outliers: bool = False,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> Answer:
    """Return the best plan of a job file; see `load` and `decide`."""
    job, parts = load(job_file, catalogue, accept_outliers=accept_outliers)
    return decide(job, parts, time_limit=time_limit, progress=progress)


def firm(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    accept_outliers: bool = False,
    progress: Progress | None = None,
) -> FirmAnswer:
    """Return how far the figures of a job may go before its pick changes; see `pick`.

    Every figure is followed by whole solves of its own, so this takes many times as long.
    """
    from fitsolver.firmness import firmness

    job, parts = load(job_file, catalogue, accept_outliers=accept_outliers)
    answer = decide(job, parts, progress=progress)
    return firmness(made_ready(job, parts), parts, answer)


def alternatives(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    count: int = 5,
    front: bool = False,
    accept_outliers: bool = False,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> AlternativesAnswer:
    """Return the best `count` plans of a job file that differ in parts or routes.

    Each is proven next best in the job's order and checked without the solver. `front` adds every
    plan that no other beats in total removal, price and days. Time and errors as with `decide`:
    what was found when the time ends is the answer.
    """
    if count < 1:
        raise InputError("no plan is asked for", field="count", found=count, allowed="1 or more")
    from fitsolver.next_best import next_best
    from fitsolver.solving.search import Clock

    job, parts = load(job_file, catalogue, accept_outliers=accept_outliers)
    clock = Clock(seconds(time_limit), progress)
    ready = made_ready(job, parts)
    answer = next_best(ready, parts, count, clock, with_front=front)
    extra = of_measuring(ready)
    return answer.model_copy(update={"cautions": (*extra, *answer.cautions)})


def ladder(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    accept_outliers: bool = False,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> LadderAnswer:
    """Return the larger sizes and the rebuilds left of a job file's cylinders; see `pick`."""
    from fitsolver.ladder import ladders
    from fitsolver.records.ladder import LadderAnswer
    from fitsolver.reporting.ladder_view import ladder_cautions

    job, parts = load(job_file, catalogue, accept_outliers=accept_outliers)
    answer = decide(job, parts, time_limit=time_limit, progress=progress)
    found = ladders(made_ready(job, parts).job, parts, answer.plan)
    return LadderAnswer(
        program_version=__version__,
        job=job.name,
        catalogue=parts.name,
        unit=job.unit,
        status=answer.status,
        cylinders=found,
        cautions=ladder_cautions(found),
    )


def final(
    job_file: str | Path, catalogue: str | Path | None = None, *, accept_outliers: bool = False
) -> FinalAnswer:
    """Return the verdict on every fit of finished cylinders with the parts the job names.

    Raises as `load` does, and InputError for a job that is not already finished or does not
    name the piston and rings of every cylinder.
    """
    from fitsolver.final_check import final_check
    from fitsolver.records.final import FinalAnswer

    job, parts = load(job_file, catalogue, accept_outliers=accept_outliers)
    ready = made_ready(job, parts)
    found = final_check(ready.job, parts)
    return FinalAnswer(
        program_version=__version__,
        job=job.name,
        catalogue=parts.name,
        unit=job.unit,
        cylinders=found.cylinders,
        together=found.together,
        passes=all(item.passes for item in found.cylinders)
        and all(item.holds for item in found.together),
        corrections=ready.corrections,
        cautions=(*of_measuring(ready), *found.cautions),
    )


def arrived(
    job_file: str | Path,
    ordered: str | Path,
    catalogue: str | Path | None = None,
    *,
    accept_outliers: bool = False,
    progress: Progress | None = None,
) -> ArrivedAnswer:
    """Return whether parts that were ordered serve as they were measured, and the new plan.

    `ordered` is the document that a pick wrote when they were ordered. Raises as `pick` does, and
    InputError where that document is none, or is of other cylinders.
    """
    from fitsolver import parts_arrived as bench
    from fitsolver.records.arrived import ArrivedAnswer

    job, parts = load(job_file, catalogue, accept_outliers=accept_outliers)
    then = bench.read_answer(Path(ordered))
    assert then.plan is not None  # read_answer has refused anything else
    bench.check_same(job, then.plan)
    here = bench.on_the_bench(job, then.plan, parts)
    answer = decide(
        bench.as_ordered(here, then.plan), bench.nothing_for_sale(parts, here), progress=progress
    )
    found = ArrivedAnswer(
        program_version=__version__,
        job=job.name,
        catalogue=parts.name,
        unit=job.unit,
        currency=parts.currency,
        status="ordered parts serve" if answer.plan else "undecided",
        cylinders=bench.compared(then.plan, answer.plan),
        plan=answer.plan,
        cautions=answer.cautions,
    )
    if answer.no_fit is None:
        return found
    other = decide(bench.unpinned(here, then.plan), parts, progress=progress)
    changed: dict[str, object] = {
        "status": {"nothing fits": "nothing fits", "undecided": "undecided"}.get(
            other.status, "order again"
        ),
        "cylinders": bench.compared(then.plan, other.plan),
        "reasons": answer.no_fit.reasons,
        "plan": other.plan,
        "cautions": other.cautions,
    }
    if other.plan is not None:
        changed["again"] = tuple(line for line in other.plan.order if line.source != "in hand")
        changed["left_over"] = bench.left_over(job, then.plan, other.plan, parts)
    return found.model_copy(update=changed)


def bore(job_file: str | Path, *, accept_outliers: bool = False) -> FormsAnswer:
    """Return the form of every measured bore of a job file; no catalogue is needed.

    `accept_outliers` as with `load`. Raises InputError for bad input.
    """
    from fitsolver.metrology.correct import corrected
    from fitsolver.metrology.form import bore_form
    from fitsolver.reading.job_file import read_job
    from fitsolver.records.forms_answer import FormsAnswer
    from fitsolver.reporting.cautions import form_cautions

    job = read_job(Path(job_file), accept_outliers=accept_outliers)
    job, corrections = corrected(job, pistons=False)
    forms = tuple(bore_form(c, job.convention) for c in job.cylinders if c.readings)
    return FormsAnswer(
        program_version=__version__,
        job=job.name,
        unit=job.unit,
        forms=forms,
        corrections=corrections,
        cautions=form_cautions(job, forms),
    )


def part_sets(
    job_file: str | Path, catalogue: str | Path | None = None, *, accept_outliers: bool = False
) -> FitsAnswer:
    """Return every part set for the bores as they are, best first, with a verdict per rule.

    Raises as `load` does.
    """
    job, parts = load(job_file, catalogue, accept_outliers=accept_outliers)
    return sets_for(job, parts)


def sets_for(job: Job, catalogue: Catalogue) -> FitsAnswer:
    """Return every part set for a job's bores as they are; see `part_sets`."""
    from fitsolver.counter import sets_of
    from fitsolver.reporting.cautions import cautions

    return FitsAnswer(
        program_version=__version__,
        job=job.name,
        catalogue=catalogue.name,
        unit=job.unit,
        currency=catalogue.currency,
        sets=sets_of(made_ready(job, catalogue).job, catalogue),
        cautions=cautions(job, catalogue, None, ()),
    )


def budget(job_file: str | Path, catalogue: str | Path | None = None) -> BudgetAnswer:
    """Return the uncertainty budget of every fit of a job file.

    The catalogue given, or the one the job names, tells the alloys of pistons; it may be
    missing. Raises InputError for bad input, and for a job that does not say how it was
    measured.
    """
    from fitsolver.budgets import budgets
    from fitsolver.measuring import measured
    from fitsolver.reading.catalogue_folder import read_catalogue
    from fitsolver.reading.job_file import read_job
    from fitsolver.records.budget import BudgetAnswer
    from fitsolver.reporting.measuring_cautions import budget_cautions

    job = read_job(Path(job_file))
    if job.measuring is None or not (job.measuring.instruments or job.measuring.set_name):
        raise InputError(
            "the job does not say which instruments it was measured with",
            file=str(job_file),
            field="measuring",
            allowed="a [measuring] table with instruments",
        )
    folder = None if catalogue is None else Path(catalogue)
    if folder is None and job.catalogue is not None:
        folder = Path(job_file).parent / job.catalogue
    parts = None if folder is None else read_catalogue(folder)
    ready = measured(job, parts)
    found = budgets(ready, parts)
    return BudgetAnswer(
        program_version=__version__,
        job=job.name,
        unit=job.unit,
        budgets=found,
        corrections=ready.corrections,
        cautions=budget_cautions(ready.job, found),
    )


def gauge_study(
    table: str | Path, window: str | None = None, *, permissible_error: str | None = None
) -> GaugeStudy:
    """Return what repeated readings of a few bores tell of a gauge and the people who read it.

    `window` (a width) and `permissible_error` are lengths as text, in the table's unit or with
    one of their own. Raises InputError for bad input.
    """
    from fitsolver.metrology.gauge_study import study
    from fitsolver.reading.gauge_table import read_gauge_table

    readings = read_gauge_table(Path(table))
    found = study(
        readings.readings,
        _length(window, readings.unit, "window"),
        unit=readings.unit,
        file=readings.file,
        permissible_error=_length(permissible_error, readings.unit, "permissible error") or 0,
    )
    return found.model_copy(update={"program_version": __version__})


def _length(text: str | None, unit: Unit, field: str) -> int | None:
    if text is None:
        return None
    try:
        length = parse_length(text, unit)
    except ValueError as error:
        raise InputError(str(error), field=field, found=text, allowed="a length") from error
    if length <= 0:
        raise InputError("must be above zero", field=field, found=text, allowed="a length above 0")
    return length


def machining_plan(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    accept_outliers: bool = False,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> StagesAnswer:
    """Return the machining plan of a job file: every route of the best plan in its stages.

    Raises as `load` and `decide` do; without a plan the answer has no cylinders but the reasons.
    """
    job, parts = load(job_file, catalogue, accept_outliers=accept_outliers)
    return in_stages(decide(job, parts, time_limit=time_limit, progress=progress), parts)


def in_stages(answer: Answer, catalogue: Catalogue) -> StagesAnswer:
    """Return the machining plan of an answer that `decide` gave with this catalogue."""
    from fitsolver.records.stages import StagesAnswer
    from fitsolver.stages import stages

    return StagesAnswer(
        program_version=__version__,
        job=answer.job,
        catalogue=answer.catalogue,
        unit=answer.unit,
        finishing=answer.finishing,
        status=answer.status,
        cylinders=stages(answer, catalogue),
        no_fit=answer.no_fit,
        cautions=answer.cautions,
    )


def review_catalogue(folder: str | Path) -> CatalogueReview:
    """Return what a catalogue holds, its missing sizes and its doubtful entries."""
    from fitsolver.catalogue_review import review
    from fitsolver.reading.catalogue_folder import read_catalogue

    return review(read_catalogue(Path(folder)), __version__)


def new_job(job_file: str | Path, new: NewJob) -> None:
    """Write a commented job file to start from; readings and windows are then filled in.

    Raises InputError when the file exists or cannot be written, and for an option that is no
    such value; nothing is written then.
    """
    from fitsolver.new_file import write_new
    from fitsolver.reading.job_template import job_template

    write_new(Path(job_file), job_template(new))


def at_the_hone(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    log: str | Path | None = None,
    risk: float = 0.05,
    accept_outliers: bool = False,
) -> Hone:
    """Return a job with its plan and its log of passes, to read or to add to.

    The log is `log`, else beside the job file under its name, ending in `.hone`. `risk` is
    the greatest probability of passing the highest permitted size before the next check.
    Raises InputError as `load` does, for a job without a plan, and for a risk that is none.
    """
    from fitsolver.honing import Hone

    if not 0.0001 <= risk <= 0.5:
        raise InputError("no such risk", field="risk", found=risk, allowed="0.0001 to 0.5")
    job, parts = load(job_file, catalogue, accept_outliers=accept_outliers)
    answer = decide(job, parts)
    if answer.plan is None:
        raise InputError(
            "nothing fits, so there is no size to hone to; `fitsolver pick` says why",
            file=str(job_file),
        )
    path = Path(job_file).with_suffix(".hone") if log is None else Path(log)
    return Hone(job, answer.plan, path, risk, lambda changed: decide(changed, parts))


def hone(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    log: str | Path | None = None,
    cylinder: str | None = None,
    risk: float = 0.05,
    accept_outliers: bool = False,
) -> HoneAnswer:
    """Return where the bores stand by the log of passes, and what to do next.

    `cylinder` asks for one of them. Raises as `at_the_hone` does, and for a log that cannot
    be understood.
    """
    opened = at_the_hone(job_file, catalogue, log=log, risk=risk, accept_outliers=accept_outliers)
    return opened.answer(cylinder)
