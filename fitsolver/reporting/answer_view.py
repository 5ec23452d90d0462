"""The answer of `pick`: its status, the plan or why nothing fits, the form found."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, Final

from fitsolver.records.figures import Figures
from fitsolver.records.told import headlines
from fitsolver.records.words import RULE_WORDS
from fitsolver.reporting.budget_view import corrections_view
from fitsolver.reporting.form_view import form_summary
from fitsolver.reporting.layout import bullets, heading, indented, text
from fitsolver.reporting.plan_view import plan_view

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.plan import Answer, NoFit, Reason, Status

_STATUS: Final[dict[Status, tuple[str, str]]] = {
    "proven best": (
        "PROVEN BEST for what is asked: no other plan comes before this one in the job's order of "
        "what is best. It was checked again without the solver.",
        "bold green",
    ),
    "best found": (
        "BEST FOUND in the time given, not proven best. It keeps every rule, which was checked "
        "again without the solver; a better one may exist, down to the bounds below.",
        "bold yellow",
    ),
    "nothing fits": ("NOTHING FITS: no choice of parts and work keeps every rule.", "bold red"),
    "undecided": (
        "UNDECIDED: in the time given no plan was found, nor that there is none. Give more time.",
        "bold yellow",
    ),
}


def answer_view(answer: Answer, figures: Figures) -> list[RenderableType]:
    """Return the status line, what it is about, the plan or the reasons, the form of the bores."""
    line, style = _STATUS[answer.status]
    parts: list[RenderableType] = ["", text(line, style)]
    parts += [indented(line) for line in headlines(answer)]
    if answer.plan is not None:
        parts += plan_view(answer.plan, figures, answer.currency)
    if answer.no_fit is not None:
        parts += no_fit_view(answer.no_fit)
    if answer.forms:
        parts += form_summary(answer.forms, figures)
    parts += corrections_view(answer.corrections)
    return parts


def no_fit_view(no_fit: NoFit) -> list[RenderableType]:
    """Return the rules in conflict, the nearest misses and the ways left."""
    parts: list[RenderableType] = []
    for name, reasons in groupby(no_fit.reasons, key=lambda reason: reason.cylinder):
        title = f"Cylinder {name}: why nothing fits" if name else "Why nothing fits them together"
        parts += [heading(title), bullets(map(_reason, reasons))]
    if no_fit.near_misses:
        parts.append(heading("Nearest miss"))
        parts.append(
            bullets(f"cylinder {miss.cylinder}: {miss.sentence}" for miss in no_fit.near_misses)
        )
    parts.append(heading("Ways left"))
    if no_fit.ways_left:
        parts.append(bullets(no_fit.ways_left))
    else:
        parts.append(indented("None was found in this job and this catalogue."))
    return parts


def _reason(reason: Reason) -> str:
    return f"{RULE_WORDS[reason.rule]}: {reason.sentence}"
