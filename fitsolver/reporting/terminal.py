"""Whole reports for a terminal; nothing here prints."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from fitsolver.lengths import Unit
from fitsolver.records.form import BoreForm
from fitsolver.records.plan import Answer, Plan
from fitsolver.records.review import CatalogueReview
from fitsolver.records.verdicts import FitsAnswer
from fitsolver.reporting.fits_view import fits_view
from fitsolver.reporting.form_view import form_details, forms_table
from fitsolver.reporting.no_fit_view import no_fit_view
from fitsolver.reporting.plan_view import plan_view
from fitsolver.reporting.review_view import review_view
from fitsolver.reporting.show import Show, bullets, heading, page


def render_answer(answer: Answer, unit: Unit | None = None) -> Group:
    """Return the report of `pick`, in a unit other than the job's where one is given."""
    show = Show(unit or answer.unit)
    parts: list[RenderableType] = [
        Text(f"{answer.job}  |  catalogue: {answer.catalogue}", style="bold"),
        Text(_status(answer)),
        _on_diameter(show),
    ]
    if answer.plan is not None:
        parts += plan_view(answer, answer.plan, show)
    if answer.no_fit is not None:
        parts += no_fit_view(answer.no_fit)
    if answer.forms:
        parts += [heading("Bores as measured"), forms_table(answer.forms, show)]
    parts += _cautions(answer.cautions)
    return page(parts)


def render_forms(forms: Sequence[BoreForm], unit: Unit, cautions: Sequence[str] = ()) -> Group:
    """Return the report of `bore`."""
    show = Show(unit)
    parts: list[RenderableType] = [_on_diameter(show)]
    if not forms:
        parts.append(Text("No cylinder of this job has readings."))
    else:
        parts.append(forms_table(forms, show))
    for form in forms:
        parts += form_details(form, show)
    return page([*parts, *_cautions(cautions)])


def render_fits(answer: FitsAnswer, unit: Unit | None = None, first: int | None = None) -> Group:
    """Return the report of `fits`; `first` limits the sets shown for a cylinder."""
    show = Show(unit or answer.unit)
    head = Text(f"{answer.job}  |  catalogue: {answer.catalogue}", style="bold")
    parts = [head, _on_diameter(show), *fits_view(answer, show, first)]
    return page([*parts, *_cautions(answer.cautions)])


def render_review(review: CatalogueReview, unit: Unit) -> Group:
    """Return the report of `catalogue`."""
    show = Show(unit)
    head = Text(f"catalogue: {review.catalogue}", style="bold")
    return page([head, _on_diameter(show), *review_view(review, show), *_cautions(review.cautions)])


def _status(answer: Answer) -> str:
    if answer.status == "proven best":
        return (
            "Proven best: no other choice is better, and the plan was checked without the solver."
        )
    if answer.status == "best found":
        unproven = _unproven(answer.plan)
        return f"Best found, not proven best: {unproven}. The plan was checked without the solver."
    if answer.status == "nothing fits":
        return "Nothing fits."
    return "Undecided: in the time given neither a plan nor a proof that there is none was found."


def _unproven(plan: Plan | None) -> str:
    levels = () if plan is None else plan.objective
    first = next((item for item in levels if not item.proven), None)
    if first is None:
        return "the search was stopped"
    return f"time ran out while settling {first.level.replace('_', ' ')}"


def _on_diameter(show: Show) -> Text:
    return Text(f"All sizes, removal and stock are on diameter, in {show.words}.")


def _cautions(cautions: Sequence[str]) -> list[RenderableType]:
    return [heading("Cautions"), bullets(cautions)] if cautions else []
