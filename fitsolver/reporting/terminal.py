"""Reports as rich renderables for a terminal, a file or a pipe of 80 columns or more.

Nothing is printed here. Lengths are shown in one unit, rounded as `figures` says.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from rich.console import RenderableType

from fitsolver.reporting.answer_view import answer_view
from fitsolver.reporting.budget_view import budget_view, corrections_view
from fitsolver.reporting.figures import Figures
from fitsolver.reporting.fits_view import fits_view
from fitsolver.reporting.form_view import forms_view
from fitsolver.reporting.gauge_view import gauge_view
from fitsolver.reporting.layout import Page, bullets, heading, text
from fitsolver.reporting.review_view import review_view
from fitsolver.reporting.words import ON_DIAMETER, UNIT_WORDS

if TYPE_CHECKING:
    from fitsolver.lengths import Unit
    from fitsolver.records.budget import BudgetAnswer, Correction
    from fitsolver.records.form import BoreForm
    from fitsolver.records.gauge import GaugeStudy
    from fitsolver.records.plan import Answer
    from fitsolver.records.review import CatalogueReview
    from fitsolver.records.verdicts import FitsAnswer


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


def _head(title: str, facts: Iterable[str], figures: Figures) -> list[RenderableType]:
    shown = text(title, "bold")
    line = "; ".join((*facts, f"lengths in {UNIT_WORDS[figures.unit]}"))
    return [shown, "=" * min(shown.cell_len, 76), text(line), text(ON_DIAMETER)]


def _cautions(cautions: Iterable[str]) -> list[RenderableType]:
    lines = list(cautions)
    return [heading("Cautions"), bullets(lines)] if lines else []
