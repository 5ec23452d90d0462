"""The few verbs that all front ends call: files or records in, records out.

Nothing here prints. Heavy imports happen in the verb that needs them, so that asking for
help or for a form report never loads the solver.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from fitsolver import __version__
from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit, parse_length
from fitsolver.picking.decide import Progress, decide, seconds
from fitsolver.records.plan import Answer
from fitsolver.records.verdicts import FitsAnswer
from fitsolver.usecases.loading import load, load_job
from fitsolver.usecases.verbs import (
    allot_shop,
    budget_of,
    check_measured,
    final_verdict,
    forms_of,
    how_firm,
    in_stages,
    next_plans,
    profile_of,
    reasons,
    sets_for,
    sheet_of,
    sizes_left,
    when_arrived,
)

if TYPE_CHECKING:
    from datetime import date

    from fitsolver.paper import Paper, WorkSheet
    from fitsolver.plots import Drawing
    from fitsolver.reading.job_template import NewJob
    from fitsolver.records.allotment import AllotmentAnswer
    from fitsolver.records.alternatives import AlternativesAnswer
    from fitsolver.records.arrived import ArrivedAnswer
    from fitsolver.records.budget import BudgetAnswer
    from fitsolver.records.final import FinalAnswer
    from fitsolver.records.firm import FirmAnswer
    from fitsolver.records.forms_answer import FormsAnswer
    from fitsolver.records.gauge import GaugeStudy
    from fitsolver.records.hone import HoneAnswer
    from fitsolver.records.ladder import LadderAnswer
    from fitsolver.records.pairing import PairAnswer
    from fitsolver.records.review import CatalogueReview
    from fitsolver.records.screening import ScreenAnswer
    from fitsolver.records.stages import StagesAnswer
    from fitsolver.records.why import WhyAnswer
    from fitsolver.usecases.honing import Hone


def why(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
) -> WhyAnswer:
    """Return why a job file has no plan and what would open it, or why its plan is as it is.

    Raises as `load` and `decide` do.
    """
    return reasons(*load(job_file, catalogue, accept=accept, accept_outliers=accept_outliers))


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
    job, parts = load(job_file, catalogue, accept=accept, accept_outliers=accept_outliers)
    return decide(job, parts, time_limit=time_limit, progress=progress, doubting=True)


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
    job, parts = load(job_file, catalogue, accept=accept, accept_outliers=accept_outliers)
    return how_firm(job, parts, progress=progress)


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
    what was found when the time ends is the answer.
    """
    job, parts = load(job_file, catalogue, accept=accept, accept_outliers=accept_outliers)
    return next_plans(
        job, parts, count=count, front=front, time_limit=time_limit, progress=progress
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
    job, parts = load(job_file, catalogue, accept=accept, accept_outliers=accept_outliers)
    return sizes_left(job, parts, time_limit=time_limit, progress=progress)


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
    return final_verdict(*load(job_file, catalogue, accept=accept, accept_outliers=accept_outliers))


def allot(
    shop: str | Path,
    *,
    start: str | Path | None = None,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
    time_limit: float | None = None,
    progress: Progress | None = None,
    scheduler: str | None = None,
    workers: int | None = None,
) -> AllotmentAnswer:
    """Return who of a shop folder gets what of its shelf; see `allot_shop`.

    `start` is the document of an earlier run: what did not change since is taken over. Raises
    InputError for bad input, for a start that is no such document, and for a scheduler that does
    not answer.
    """
    from fitsolver.allotment.last import read_allotment
    from fitsolver.doubts.accepting import check_somewhere
    from fitsolver.reading.shop import read_shop
    from fitsolver.usecases.loading import holding

    last = None if start is None else read_allotment(Path(start))
    whole = read_shop(Path(shop), holding(accept), accept_outliers=accept_outliers)
    check_somewhere(accept, whole.catalogues, str(shop))
    return allot_shop(
        whole,
        time_limit=time_limit,
        progress=progress,
        last=last,
        scheduler=scheduler,
        workers=workers,
    )


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
    InputError where that document is none, or is of other cylinders.
    """
    from fitsolver.usecases.parts_arrived import read_answer

    job, parts = load(job_file, catalogue, accept=accept, accept_outliers=accept_outliers)
    return when_arrived(job, parts, read_answer(Path(ordered)), progress=progress)


def bore(
    job_file: str | Path, *, accept: Sequence[str] = (), accept_outliers: bool = False
) -> FormsAnswer:
    """Return the form of every measured bore of a job file; no catalogue is needed.

    `accept` and `accept_outliers` as with `load`. Raises InputError for bad input.
    """
    job = load_job(job_file, accept=accept, accept_outliers=accept_outliers, windows_needed=False)
    return forms_of(job)


def draw_bores(
    job_file: str | Path,
    *,
    unit: Unit | None = None,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
) -> Drawing | None:
    """Return the profile of every measured bore of a job file; None where none was measured.

    In `unit` or the job's own. Raises as `bore` does.
    """
    job = load_job(job_file, accept=accept, accept_outliers=accept_outliers, windows_needed=False)
    return profile_of(job, unit)


def sheet(  # noqa: PLR0913
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    paper: Paper = "a4",
    made_on: date | None = None,
    unit: Unit | None = None,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> WorkSheet:
    """Return the sheet of a job file: HTML to print and pin at the machine, and its status.

    It carries `made_on` (None = today). Without a plan it says why. Raises as `pick` does.
    """
    from datetime import date

    job, parts = load(job_file, catalogue, accept=accept, accept_outliers=accept_outliers)
    return sheet_of(
        job,
        parts,
        made_on=made_on or date.today(),
        paper=paper,
        unit=unit,
        time_limit=time_limit,
        progress=progress,
    )


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
    job, parts = load(job_file, catalogue, accept=accept, accept_outliers=accept_outliers)
    return sets_for(job, parts)


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
    parts = None if folder is None else read_catalogue(folder)
    spread = _length(batch_spread, job.unit, "batch spread")
    mean = _length(batch_mean, job.unit, "batch mean")
    if mean is not None and spread is None:
        raise InputError(
            "a batch has a spread", field="batch spread", found="none", allowed="a length above 0"
        )
    return budget_of(job, parts, None if spread is None else Batch(spread=spread, mean=mean))


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
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> StagesAnswer:
    """Return the machining plan of a job file: every route of the best plan in its stages.

    Raises as `load` and `decide` do; without a plan the answer has no cylinders but the reasons.
    """
    job, parts = load(job_file, catalogue, accept=accept, accept_outliers=accept_outliers)
    answer = decide(job, parts, time_limit=time_limit, progress=progress, doubting=True)
    return in_stages(answer, parts)


def screen(
    bores: str | Path,
    catalogue: str | Path,
    like: str | Path,
    *,
    out: str | Path | None = None,
    bad_rows: str | Path | None = None,
    scheduler: str | None = None,
    workers: int | None = None,
    progress: Progress | None = None,
) -> ScreenAnswer:
    """Return how many bores of a table fit, and write what each takes to the table `out`.

    Every row stands for a job of one cylinder with the windows, routes, finishing and pins of the
    job file `like`. The work is done on this machine in so many processes as `workers` says (None:
    one for each core), or by the Dask scheduler at the address `scheduler`. Raises InputError as
    `load` does, for a table or address that is none, and at the first bad row unless there is a
    file `bad_rows` for them.
    """
    from fitsolver.screening.pattern import pattern
    from fitsolver.screening.table import Places, screen_table

    places = Places(
        None if out is None else Path(out),
        None if bad_rows is None else Path(bad_rows),
        scheduler,
        workers,
    )
    return screen_table(Path(bores), pattern(*load(like, catalogue)), places, progress)


def pair(  # noqa: PLR0913
    bores: str | Path,
    pieces: str | Path,
    *,
    low: str | None = None,
    high: str | None = None,
    like: str | Path | None = None,
    out: str | Path | None = None,
    unit: Unit | None = None,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> PairAnswer:
    """Return the best pairing of a table of measured bores with one of measured pieces.

    The most pairs within the window; then the smallest largest deviation from its middle; then the
    smallest sum of deviations. The window on bore minus piece is `low` to `high` (lengths as text),
    or the clearance window of the job file `like`. Lengths are in `unit` (None: that of the job,
    else mm) where neither column nor cell names one. The pairs are also written to the new table
    `out`. Without `time_limit` (seconds) the answer is proven. Raises InputError for bad input.
    """
    from fitsolver.pairing.answer import answer_of, paired
    from fitsolver.pairing.clock import until
    from fitsolver.pairing.read import read_sides
    from fitsolver.pairing.window import stated_window, window_like
    from fitsolver.pairing.writing import check_table, write_table

    if like is not None and (low, high) != (None, None):
        raise InputError(
            "a window is stated, or like that of a job",
            field="like",
            found="both",
            allowed="--low and --high, or --like JOB",
        )
    expired = until(seconds(time_limit), progress)
    table = None if out is None else Path(out)
    if table is not None:
        check_table(table)
    job = None if like is None else load_job(like)
    of_rows = unit or ("mm" if job is None else job.unit)
    window = stated_window(low, high, of_rows) if job is None else window_like(job)
    sides = read_sides(Path(bores), Path(pieces), of_rows)
    found = paired(*sides, window, of_rows, expired)
    if table is not None:
        write_table(table, found)
    name = None if job is None else job.name
    return answer_of(found, of_rows, name, None if table is None else str(table))


def review_catalogue(folder: str | Path) -> CatalogueReview:
    """Return what a catalogue holds, its missing sizes and its doubtful entries."""
    from fitsolver.reading.catalogue_folder import read_catalogue
    from fitsolver.usecases.catalogue_review import review

    return review(read_catalogue(Path(folder)), __version__)


def new_job(job_file: str | Path, new: NewJob) -> bool:
    """Write a commented job file to start from; readings and windows are then filled in.

    Where its catalogue has a sheet of its family only readings are, and what the sheet states is
    left out: True is returned. Else, where the catalogue can be read, end gaps are asked for the
    grooves that its pistons have. Raises InputError when the file exists or cannot be written,
    for an option that is no such value, and for a family that none of the catalogue's sheets is
    of; nothing is written then.
    """
    from fitsolver.base.new_file import write_new
    from fitsolver.reading.job_template import job_template
    from fitsolver.reading.short_job import short_job

    folder = Path(job_file).parent
    known = _is_known(new, folder)
    text = short_job(new) if known else job_template(_with_grooves(new, folder))
    write_new(Path(job_file), text)
    return known


def shorter_job(job_file: str | Path, old: str | Path, catalogue: str | Path | None = None) -> None:
    """Write an old job anew so that it states only what its family's sheet and shop do not.

    Raises InputError when the file exists or cannot be written, and as `load` does; nothing is
    written then.
    """
    from fitsolver.base.new_file import check_new, write_new
    from fitsolver.reading.shorten import shortened

    new = Path(job_file)
    check_new(new)
    write_new(new, shortened(Path(old), new, None if catalogue is None else Path(catalogue)))


def _is_known(new: NewJob, folder: Path) -> bool:
    """Tell whether the catalogue of a new job has a sheet of its family."""
    from fitsolver.reading.family_sheet import family_sheets
    from fitsolver.reading.hints import unknown

    place, family = folder / new.catalogue, new.family.strip()
    if not (new.catalogue and family and place.is_dir()):
        return False
    sheets = family_sheets(place)
    if sheets and family not in sheets:
        raise unknown("family", family, sheets, file="", row="new job", field="family")
    return bool(sheets)


def _with_grooves(new: NewJob, folder: Path) -> NewJob:
    from dataclasses import replace

    from fitsolver.reading.catalogue_folder import read_catalogue
    from fitsolver.reading.job_template import grooves_of

    if not new.catalogue:
        return new
    try:
        return replace(new, grooves=grooves_of(read_catalogue(folder / new.catalogue)))
    except InputError:  # it may come later: the file is written all the same
        return new


def at_the_hone(
    job_file: str | Path,
    catalogue: str | Path | None = None,
    *,
    log: str | Path | None = None,
    risk: float = 0.05,
    accept: Sequence[str] = (),
    accept_outliers: bool = False,
) -> Hone:
    """Return a job with its plan and its log of passes, to read or to add to.

    The log is `log`, else beside the job file under its name, ending in `.hone`. `risk` is
    the greatest probability of passing the highest permitted size before the next check,
    `accept` the ids of doubts of the log that are taken as they are.
    Raises InputError as `load` does, for a job without a plan, and for a risk that is none.
    """
    from fitsolver.usecases.honing import Hone

    if not 0.0001 <= risk <= 0.5:
        raise InputError("no such risk", field="risk", found=risk, allowed="0.0001 to 0.5")
    job, parts = load(job_file, catalogue, accept=accept, accept_outliers=accept_outliers)
    answer = decide(job, parts, doubting=True)
    if answer.plan is None:
        raise InputError(
            "nothing fits, so there is no size to hone to; `fitsolver pick` says why",
            file=str(job_file),
        )
    path = Path(job_file).with_suffix(".hone") if log is None else Path(log)
    again = partial(decide, catalogue=parts, rows_back=False)
    return Hone(job, answer.plan, parts, path, risk, again, accept)


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
