"""The answer of `pick`: its status, the plan or the reasons for none, the form of the bores."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from fitsolver.records.figures import Figures
from fitsolver.records.words import RULE_WORDS
from fitsolver.reporting.attention import attention
from fitsolver.reporting.budget_view import corrections_view
from fitsolver.reporting.caution_view import short_cautions
from fitsolver.reporting.folded import by_cylinder, folded
from fitsolver.reporting.form_view import form_summary
from fitsolver.reporting.layout import SCREEN_LINES, bullets, heading, indented, lines_of
from fitsolver.reporting.plan_view import plan_sections
from fitsolver.reporting.sections import WHOLE, Opened, Section
from fitsolver.reporting.short_answer import short_answer

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.plan import Answer, NoFit, Reason

#: Lines of the whole report by default: for up to the first number of cylinders, and for more.
LINES: Final = {4: 80, 8: 90}


def answer_view(
    answer: Answer, figures: Figures, opened: Opened = WHOLE, used: int = 4
) -> Iterator[RenderableType | Section]:
    """Yield the short answer, what needs attention, and the sections.

    `used` lines of the first screen are taken by what stands above it.
    """
    parts, counted = short_answer(answer, figures, used)
    yield from parts
    if answer.no_fit is not None:
        yield from no_fit_view(answer.no_fit, opened)
    about = attention_view(answer, figures)
    yield from about
    parts = parts + about
    if answer.plan is not None:
        room = lines_for(answer) - used - lines_of(parts) - lines_of(short_cautions(answer)) - 3
        yield from plan_sections(
            answer.plan, figures, answer.currency, opened, room=room, order_first=counted
        )
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
    """Return the list of what needs attention, the most important first; empty if nothing does."""
    lines = attention(answer, figures)
    return [heading("NEEDS ATTENTION"), bullets(lines)] if lines else []


def no_fit_view(no_fit: NoFit, opened: Opened = WHOLE) -> Iterator[RenderableType | Section]:
    """Yield the rules in conflict, the nearest misses and the remaining ways.

    Cylinders that differ in figures only share an entry, unless the section `reasons` is open.
    """
    told = by_cylinder((reason.cylinder, _reason(reason)) for reason in no_fit.reasons)
    misses = by_cylinder((miss.cylinder, miss.sentence) for miss in no_fit.near_misses)
    cut = False
    if not opened.has("reasons"):
        whole = len(told) + len(misses)
        told, misses = folded(told), folded(misses)
        cut = len(told) + len(misses) < whole
    for group in told:
        named = f"{group.words[0].upper()}{group.words[1:]}: why nothing fits"
        yield heading(named if any(group.cylinders) else "Why nothing fits them together")
        yield bullets(group.sentences)
    if misses:
        yield heading("Nearest miss")
        yield bullets(f"{group.words}: {'; '.join(group.sentences)}" for group in misses)
    yield heading("Ways left")
    if no_fit.ways_left:
        yield bullets(no_fit.ways_left)
    else:
        yield indented("None was found in this job and this catalogue.")
    if cut:
        yield Section("reasons", ())


def _reason(reason: Reason) -> str:
    return f"{RULE_WORDS[reason.rule]}: {reason.sentence}"
