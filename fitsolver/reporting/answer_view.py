"""The answer of `pick`: its status, the plan or why nothing fits, the form found."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import TYPE_CHECKING, Final

from fitsolver.records.figures import Figures
from fitsolver.records.words import RULE_WORDS
from fitsolver.reporting.attention import attention
from fitsolver.reporting.budget_view import corrections_view
from fitsolver.reporting.caution_view import short_cautions
from fitsolver.reporting.form_view import form_summary
from fitsolver.reporting.layout import SCREEN_LINES, bullets, heading, indented, lines_of
from fitsolver.reporting.plan_view import plan_sections
from fitsolver.reporting.sections import WHOLE, Opened, Section
from fitsolver.reporting.short_answer import short_answer

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.plan import Answer, NoFit, Reason

#: Lines of the whole report by default: for up to so many cylinders, and for more.
LINES: Final = {4: 80, 8: 90}


def answer_view(
    answer: Answer, figures: Figures, opened: Opened = WHOLE, used: int = 4
) -> Iterator[RenderableType | Section]:
    """Yield the short answer, what needs attention, and the sections.

    `used` lines of the first screen are taken by what stands above it.
    """
    parts = short_answer(answer, figures, used)
    if answer.no_fit is not None:
        parts += no_fit_view(answer.no_fit)
    parts += attention_view(answer, figures)
    yield from parts
    if answer.plan is not None:
        room = lines_for(answer) - used - lines_of(parts) - lines_of(short_cautions(answer)) - 3
        yield from plan_sections(answer.plan, figures, answer.currency, opened, room=room)
    if answer.forms:
        shown = None if opened.has("form") else SCREEN_LINES
        summary = form_summary(answer.forms, figures, shown)
        yield Section("form", summary, shut=answer.plan is not None)
    corrections = list(corrections_view(answer.corrections))
    if corrections:
        yield Section("form", corrections)


def lines_for(answer: Answer) -> int:
    """Return how many lines the report of an answer takes at most by default."""
    count = 0 if answer.plan is None else len(answer.plan.cylinders)
    return min(
        (lines for most, lines in LINES.items() if count <= most), default=max(LINES.values())
    )


def attention_view(answer: Answer, figures: Figures) -> list[RenderableType]:
    """Return what needs attention, the most important first; nothing where nothing does."""
    lines = attention(answer, figures)
    return [heading("NEEDS ATTENTION"), bullets(lines)] if lines else []


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
