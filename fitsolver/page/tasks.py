"""What the worker processes do: one verb of the library on records."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from pydantic import ValidationError

from fitsolver import __version__
from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.picking.decide import decide, made_ready
from fitsolver.records.alternatives import AlternativesAnswer
from fitsolver.records.arrived import ArrivedAnswer
from fitsolver.records.base import Record
from fitsolver.records.budget import Batch, BudgetAnswer
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.gauge import GaugeReading, GaugeStudy
from fitsolver.records.hone import HoneAnswer
from fitsolver.records.job import Job
from fitsolver.records.pairing import MeasuredBore, MeasuredPiece, PairAnswer
from fitsolver.records.plan import Answer, Plan
from fitsolver.usecases import verbs
from fitsolver.usecases.honing import Hone

if TYPE_CHECKING:
    from fitsolver.paper import Paper

RISK: Final = 0.05
Verb = Callable[[Job, Catalogue, float], Record]

#: The verbs that need no more than a job and a catalogue; the last figure is the seconds allowed.
VERBS: Final[dict[str, Verb]] = {
    "pick": lambda job, parts, most: decide(job, parts, time_limit=most, doubting=True),
    "why": lambda job, parts, most: verbs.reasons(job, parts),
    "alternatives": lambda job, parts, most: verbs.next_plans(job, parts, time_limit=most),
    "ladder": lambda job, parts, most: verbs.sizes_left(job, parts, time_limit=most),
    "plan": lambda job, parts, most: verbs.in_stages(
        decide(job, parts, time_limit=most, doubting=True), parts
    ),
    "firm": lambda job, parts, most: verbs.how_firm(job, parts),
    "fits": lambda job, parts, most: verbs.sets_for(job, parts),
    "budget": lambda job, parts, most: verbs.budget_of(job, parts),
    "final": lambda job, parts, most: verbs.final_verdict(job, parts),
    "bore": lambda job, parts, most: verbs.forms_of(job),
}


def answer(verb: str, job: Job, catalogue: Catalogue, seconds: float) -> Record:
    """Return what a verb answers; raises what it raises."""
    return VERBS[verb](job, catalogue, seconds)


def alternatives(
    job: Job, catalogue: Catalogue, count: int, front: bool, seconds: float
) -> AlternativesAnswer:
    """Return so many of the next best plans, and with `front` those that none beats."""
    return verbs.next_plans(job, catalogue, count=count, front=front, time_limit=seconds)


def budget(job: Job, catalogue: Catalogue, batch: Batch | None) -> BudgetAnswer:
    """Return what makes each fit uncertain, and the risks of a batch where one is given."""
    return verbs.budget_of(job, catalogue, batch)


def arrived(job: Job, catalogue: Catalogue, ordered: Answer) -> ArrivedAnswer:
    """Return whether the parts that an answer ordered serve as they were measured."""
    return verbs.when_arrived(job, catalogue, ordered)


def at_the_hone(
    job: Job,
    catalogue: Catalogue,
    plan: Plan,
    log: str,
    risk: float = RISK,
    cylinder: str | None = None,
    stones: str | None = None,
    accept: tuple[str, ...] = (),
) -> HoneAnswer:
    """Return where the bores stand by a log of passes; picks anew where one came out too large.

    `accept` are the ids of doubts of the log that are taken as they are.
    """
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.hone"
        if log:
            path.write_bytes(log.encode("utf-8", "surrogateescape"))
        again = partial(decide, catalogue=catalogue, rows_back=False)
        hone = Hone(job, plan, catalogue, path, risk, again, accept)
        return hone.answer(cylinder, stones)


def gauge(
    readings: tuple[GaugeReading, ...], unit: Unit, window: int | None, permissible_error: int
) -> GaugeStudy:
    """Return what repeated readings tell of a gauge."""
    from fitsolver.metrology.gauge_study import study

    found = study(readings, window, unit=unit, permissible_error=permissible_error)
    return found.model_copy(update={"program_version": __version__})


def job_sent(files: tuple[tuple[str, bytes], ...], catalogue: Path) -> str:
    """Return the text of a job that was sent with its sheets."""
    from fitsolver.page.uploads import job_from

    return job_from(files, catalogue)


def catalogue_in(folder: Path) -> Catalogue:
    """Return the catalogue that was written into a folder."""
    from fitsolver.page.shelf import readable

    return readable(folder)


def answer_sent(name: str, content: bytes) -> Answer:
    """Return the answer of a document that was sent; raises InputError for what is none."""
    try:
        return Answer.model_validate_json(content.decode("utf-8", "replace"))
    except ValidationError as error:
        raise InputError(
            "this is no answer of a pick",
            file=name,
            found=error.errors()[0]["msg"][:100],
            allowed="the document of a plan (JSON)",
        ) from error


def pair(
    bores: tuple[MeasuredBore, ...],
    pieces: tuple[MeasuredPiece, ...],
    low: int,
    high: int,
    unit: Unit,
    seconds: float,
) -> PairAnswer:
    """Return the best pairing of measured bores and pieces."""
    return verbs.pair_measured(bores, pieces, low, high, unit=unit, time_limit=seconds)


def sheet(job: Job, catalogue: Catalogue, paper: Paper, made_on: date, seconds: float) -> str:
    """Return the sheet of a job as HTML."""
    return verbs.sheet_of(job, catalogue, made_on=made_on, paper=paper, time_limit=seconds).html


def drawing(name: str, job: Job, catalogue: Catalogue, answer: Any) -> bytes:
    """Return a drawing of `DRAWN` as SVG; `answer` is what its verb answered."""
    from fitsolver import plots

    drawn = {
        "profile": lambda: plots.bore_profile(
            made_ready(job, catalogue).job, answer.forms, answer.plan
        ),
        "fits": lambda: plots.fit_bars(answer.plan, answer.unit, answer.job),
        "stages": lambda: plots.stage_bars(answer),
        "sizes": lambda: plots.size_ladder(answer),
        "hone": lambda: plots.hone_log(answer),
    }
    return drawn[name]().svg()
