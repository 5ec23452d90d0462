"""Reports as rich renderables for a terminal, a file or a pipe of 80 columns or more.

Nothing is printed here. Lengths are shown in one unit, rounded as `figures` says.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from rich.console import RenderableType

from fitsolver.records.figures import Figures
from fitsolver.records.words import ON_DIAMETER, UNIT_WORDS
from fitsolver.reporting.allotment_view import allotment_view
from fitsolver.reporting.alternatives_view import alternatives_view
from fitsolver.reporting.answer_view import answer_view, no_fit_view
from fitsolver.reporting.arrived_view import arrived_view
from fitsolver.reporting.book_view import found_view, history_view
from fitsolver.reporting.budget_view import budget_view, corrections_view
from fitsolver.reporting.final_view import final_view
from fitsolver.reporting.firm_view import firm_view
from fitsolver.reporting.fits_view import fits_view
from fitsolver.reporting.form_view import forms_view
from fitsolver.reporting.gauge_view import gauge_view
from fitsolver.reporting.hone_view import hone_view
from fitsolver.reporting.ladder_view import ladder_view
from fitsolver.reporting.layout import Page, bullets, heading, text, title
from fitsolver.reporting.pair_view import pair_view
from fitsolver.reporting.review_view import review_view
from fitsolver.reporting.screen_view import screen_view
from fitsolver.reporting.stages_view import stages_view
from fitsolver.reporting.why_view import why_view

if TYPE_CHECKING:
    from fitsolver.base.lengths import Unit
    from fitsolver.records.allotment import AllotmentAnswer
    from fitsolver.records.alternatives import AlternativesAnswer
    from fitsolver.records.arrived import ArrivedAnswer
    from fitsolver.records.book import FoundAnswer, HistoryAnswer
    from fitsolver.records.budget import BudgetAnswer, Correction
    from fitsolver.records.final import FinalAnswer
    from fitsolver.records.firm import FirmAnswer
    from fitsolver.records.form import BoreForm
    from fitsolver.records.gauge import GaugeStudy
    from fitsolver.records.hone import HoneAnswer
    from fitsolver.records.ladder import LadderAnswer
    from fitsolver.records.pairing import PairAnswer
    from fitsolver.records.plan import Answer
    from fitsolver.records.review import CatalogueReview
    from fitsolver.records.screening import ScreenAnswer
    from fitsolver.records.stages import StagesAnswer
    from fitsolver.records.verdicts import FitsAnswer
    from fitsolver.records.why import WhyAnswer


def render_answer(answer: Answer, unit: Unit | None = None) -> RenderableType:
    """Return the report of `pick`, in `unit` or the job's own unit.

    Sentences of a refusal keep the job's unit, which stands with every figure in them.
    """
    figures = Figures(unit or answer.unit)
    facts = (f"catalogue: {answer.catalogue}", f"finishing: {answer.finishing}")
    return Page(
        *_head(answer.job, facts, figures),
        *answer_view(answer, figures),
        *_cautions(answer.cautions),
    )


def render_allotment(answer: AllotmentAnswer, unit: Unit | None = None) -> RenderableType:
    """Return the report of `allot`, in `unit` or the shop's own unit."""
    figures = Figures(unit or answer.unit)
    facts = (f"{len(answer.jobs)} jobs, one shelf",)
    return Page(
        *_head(answer.shop, facts, figures),
        *allotment_view(answer, figures),
        *_cautions(answer.cautions),
    )


def render_alternatives(answer: AlternativesAnswer, unit: Unit | None = None) -> RenderableType:
    """Return the report of `alternatives`, in `unit` or the job's own unit."""
    figures = Figures(unit or answer.unit)
    facts = (f"catalogue: {answer.catalogue}", f"finishing: {answer.finishing}")
    return Page(
        *_head(answer.job, facts, figures),
        *alternatives_view(answer, figures),
        *_cautions(answer.cautions),
    )


def render_forms(
    forms: Sequence[BoreForm],
    unit: Unit,
    cautions: Sequence[str] = (),
    *,
    title: str = "Form of the bores",
    corrections: tuple[Correction, ...] = (),
) -> RenderableType:
    """Return the report of `bore`: form of every bore, in `unit`, with the answer's cautions."""
    figures = Figures(unit)
    return Page(
        *_head(title, ("form of the bores",), figures),
        *forms_view(forms, figures),
        *corrections_view(corrections),
        *_cautions(cautions),
    )


def render_fits(
    answer: FitsAnswer, unit: Unit | None = None, first: int | None = None
) -> RenderableType:
    """Return the report of `fits`, at most `first` sets a cylinder (None = all)."""
    figures = Figures(unit or answer.unit)
    return Page(
        *_head(answer.job, (f"catalogue: {answer.catalogue}",), figures),
        *fits_view(answer, figures, first),
        *_cautions(answer.cautions),
    )


def render_final(answer: FinalAnswer, unit: Unit | None = None) -> RenderableType:
    """Return the report of `final`, in `unit` or the job's own unit."""
    figures = Figures(unit or answer.unit)
    facts = (f"catalogue: {answer.catalogue}", "final check")
    return Page(
        *_head(answer.job, facts, figures),
        *final_view(answer, figures),
        *_cautions(answer.cautions),
    )


def render_arrived(answer: ArrivedAnswer, unit: Unit | None = None) -> RenderableType:
    """Return the report of `arrived`, in `unit` or the job's own unit."""
    figures = Figures(unit or answer.unit)
    facts = (f"catalogue: {answer.catalogue}", "parts on the bench")
    return Page(
        *_head(answer.job, facts, figures),
        *arrived_view(answer, figures),
        *_cautions(answer.cautions),
    )


def render_firm(answer: FirmAnswer, unit: Unit | None = None) -> RenderableType:
    """Return the report of `firm`, in `unit` or the job's own unit."""
    figures = Figures(unit or answer.unit)
    return Page(
        *_head(answer.job, (f"catalogue: {answer.catalogue}",), figures),
        *firm_view(answer, figures),
        *_cautions(answer.cautions),
    )


def render_ladder(answer: LadderAnswer, unit: Unit | None = None) -> RenderableType:
    """Return the report of `ladder`, in `unit` or the job's own unit."""
    figures = Figures(unit or answer.unit)
    facts = (f"catalogue: {answer.catalogue}", f"today's plan: {answer.status}")
    return Page(
        *_head(answer.job, facts, figures),
        *ladder_view(answer, figures),
        *_cautions(answer.cautions),
    )


def render_screen(answer: ScreenAnswer) -> RenderableType:
    """Return the report of `screen`."""
    facts = (
        f"like: {answer.like}",
        f"catalogue: {answer.catalogue}",
        f"finishing: {answer.finishing}",
    )
    return Page(
        *_head(answer.table, facts, Figures(answer.unit)),
        *screen_view(answer),
        *_cautions(answer.cautions),
    )


def render_pair(answer: PairAnswer) -> RenderableType:
    """Return the report of `pair`."""
    like = () if answer.like is None else (f"like: {answer.like}",)
    facts = (f"pieces: {answer.pieces}", *like)
    return Page(
        *_head(answer.bores, facts, Figures(answer.unit)),
        *pair_view(answer),
        *_cautions(answer.cautions),
    )


def render_review(review: CatalogueReview, unit: Unit) -> RenderableType:
    """Return the report of `catalogue`, in `unit`."""
    figures = Figures(unit)
    return Page(
        *_head(review.catalogue, (f"family: {review.family}",), figures),
        *review_view(review, figures),
        *_cautions(review.cautions),
    )


def render_budget(answer: BudgetAnswer, unit: Unit | None = None) -> RenderableType:
    """Return the report of `budget`; uncertainties stand in µm or thousandths of an inch."""
    figures = Figures(unit or answer.unit)
    return Page(
        *_head(answer.job, ("uncertainty budgets",), figures),
        *budget_view(answer, figures.unit),
        *_cautions(answer.cautions),
    )


def render_gauge(study: GaugeStudy, unit: Unit | None = None) -> RenderableType:
    """Return the report of `gauge`; deviations stand in µm or thousandths of an inch."""
    figures = Figures(unit or study.unit)
    return Page(
        *_head("Gauge study", ("analysis of variance",), figures),
        "",
        *gauge_view(study, figures.unit),
    )


def render_hone(answer: HoneAnswer, unit: Unit | None = None) -> RenderableType:
    """Return the report of `hone`, with the new pick where a bore came out too large."""
    figures = Figures(unit or answer.unit)
    repick: list[RenderableType] = []
    if answer.repick is not None:
        line = "Picked again, for the bores as they are now:"
        repick = [heading("What is now possible"), line, "", render_answer(answer.repick, unit)]
    if answer.other_parts is not None:
        line = "With other parts than those the job pins:"
        repick += ["", line, "", render_answer(answer.other_parts, unit)]
    return Page(
        *_head(answer.job, ("at the hone", f"log: {answer.log}"), figures),
        *hone_view(answer, figures),
        *_cautions(answer.cautions),
        *repick,
    )


def render_stages(answer: StagesAnswer, unit: Unit | None = None) -> RenderableType:
    """Return the report of `plan`: the stages of every cylinder, or why nothing fits."""
    figures = Figures(unit or answer.unit)
    facts = (f"machining plan, {answer.status}", f"finishing: {answer.finishing}")
    return Page(
        *_head(answer.job, facts, figures),
        *(part for plan in answer.cylinders for part in stages_view(plan, figures)),
        *([] if answer.no_fit is None else no_fit_view(answer.no_fit)),
        *_cautions(answer.cautions),
    )


def render_why(answer: WhyAnswer) -> RenderableType:
    """Return the report of `why`; its sentences keep the job's unit."""
    figures = Figures(answer.unit)
    return Page(
        *_head(answer.job, (f"catalogue: {answer.catalogue}",), figures),
        *why_view(answer),
        *_cautions(answer.cautions),
    )


def render_history(answer: HistoryAnswer, unit: Unit | None = None) -> RenderableType:
    """Return the report of `book history`, in `unit` or that of the cylinder's last job."""
    figures = Figures(unit or answer.unit)
    return Page(
        *_head(answer.marking, ("cylinder over the years",), figures),
        *history_view(answer, figures),
        *_cautions(answer.cautions),
    )


def render_found(answer: FoundAnswer) -> RenderableType:
    """Return the report of `book search`."""
    figures = Figures(answer.unit)
    asked = f"asked for: {answer.asked or 'everything'}"
    return Page(
        *_head("Found in the book", (asked,), figures),
        *found_view(answer, figures),
        *_cautions(answer.cautions),
    )


def _head(job: str, facts: Iterable[str], figures: Figures) -> list[RenderableType]:
    line = "; ".join((*facts, f"lengths in {UNIT_WORDS[figures.unit]}"))
    return [title(job), text(line), text(ON_DIAMETER)]


def _cautions(cautions: Iterable[str]) -> list[RenderableType]:
    lines = list(cautions)
    return [heading("Cautions"), bullets(lines)] if lines else []
