"""Tasks of the worker processes: one verb of the library on records."""

from __future__ import annotations

from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pydantic import ValidationError

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import Unit
from fitsolver.honing.log import LogText
from fitsolver.page.risk import RISK
from fitsolver.picking.decide import decide
from fitsolver.picking.ready import made_ready
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
from fitsolver.usecases.alternatives import next_plans
from fitsolver.usecases.arrived import when_arrived
from fitsolver.usecases.budget import budget_of
from fitsolver.usecases.gauge import gauge_study_of
from fitsolver.usecases.honing import Hone
from fitsolver.usecases.pair import pair_measured
from fitsolver.verbs import registry
from fitsolver.verbs.verb import loaded

if TYPE_CHECKING:
    from fitsolver.paper import Paper
    from fitsolver.plots import Drawing

#: The verbs on a job and a catalogue alone, each with a report on the page.
VERBS: Final = tuple(verb.name for verb in registry.VERBS if verb.tab is not None)


def load() -> None:
    """Load what most questions need, before the first one comes."""
    import fitsolver.picking.checked_plan
    import fitsolver.solving.solve  # noqa: F401


def answer(verb: str, job: Job, catalogue: Catalogue, seconds: float) -> Record:
    """Return what a verb answers; raises what it raises."""
    found: Record = registry.registered(verb).about(job, catalogue, seconds)
    return found


def alternatives(
    job: Job, catalogue: Catalogue, count: int, front: bool, seconds: float
) -> AlternativesAnswer:
    """Return the next best plans, `count` of them, and with `front` those that none beats."""
    return next_plans(job, catalogue, count=count, front=front, time_limit=seconds)


def budget(job: Job, catalogue: Catalogue, batch: Batch | None) -> BudgetAnswer:
    """Return what makes each fit uncertain, and the risks of a batch where one is given."""
    return budget_of(job, catalogue, batch)


def arrived(job: Job, catalogue: Catalogue, ordered: Answer) -> ArrivedAnswer:
    """Return whether the parts that an answer ordered serve as they were measured."""
    return when_arrived(job, catalogue, ordered)


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
    held = LogText(log.encode("utf-8", "surrogateescape"), "job.hone")
    again = partial(decide, catalogue=catalogue, rows_back=False)
    return Hone(job, plan, catalogue, held, risk, again, accept).answer(cylinder, stones)


def gauge(
    readings: tuple[GaugeReading, ...], unit: Unit, window: int | None, permissible_error: int
) -> GaugeStudy:
    """Return what repeated readings tell of a gauge."""
    return gauge_study_of(readings, unit, window, permissible_error)


def job_sent(files: tuple[tuple[str, bytes], ...], catalogue: Path, key: str) -> str:
    """Return the text of a job that was sent with its sheets."""
    from fitsolver.page.uploads import job_from

    return job_from(files, catalogue, key)


def answer_sent(name: str, content: bytes) -> Answer:
    """Return the answer in a document that was sent; raises InputError for any other document."""
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
    return pair_measured(bores, pieces, low, high, unit=unit, time_limit=seconds)


def sheet(job: Job, catalogue: Catalogue, paper: Paper, made_on: date, seconds: float) -> str:
    """Return the sheet of a job as HTML."""
    from fitsolver.verbs.sheet import sheet_of

    return sheet_of(job, catalogue, made_on=made_on, paper=paper, time_limit=seconds).html


def log_drawn(answer: HoneAnswer, width: float) -> bytes:
    """Return the drawing of the passes as SVG, so many inches wide (0: as on paper)."""
    from fitsolver.plots import hone_log

    return (hone_log(answer, width=width) if width else hone_log(answer)).svg()


def drawing(name: str, job: Job, catalogue: Catalogue, answer: Record) -> bytes:
    """Return the drawing of an answer as SVG: that of its verb, or the profile of the bores."""
    if name == "profile" and isinstance(answer, Answer):
        from fitsolver.plots import bore_profile

        return bore_profile(made_ready(job, catalogue).job, answer.forms, answer.plan).svg()
    drawn: Drawing | None = loaded(registry.verb_of(answer).drawing)(answer)
    assert drawn is not None, "who asks for a drawing has looked whether there is one"
    return drawn.svg()
