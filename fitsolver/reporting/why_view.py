"""The answer of `why`: conflicts and openings, or the reasons of every choice."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import TYPE_CHECKING

from fitsolver.records.words import RULE_WORDS
from fitsolver.reporting.layout import bullets, heading, indented, text

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.figures import Figures
    from fitsolver.records.why import Opening, WhyAnswer


def why_view(answer: WhyAnswer, _: Figures) -> Iterator[RenderableType]:
    """Yield the status line, then conflicts and openings, or the reasons of the plan."""
    if answer.status == "nothing fits":
        yield ""
        yield text("NOTHING FITS: no choice of parts and work keeps every rule.", "bold red")
        yield from _conflicts(answer)
        return
    yield ""
    yield text("Why the best plan is as it is; `fitsolver pick` shows the plan.", "bold")
    for name, choices in groupby(answer.choices, key=lambda choice: choice.cylinder):
        yield heading(f"Cylinder {name}")
        yield bullets(choice.sentence for choice in choices)


def _conflicts(answer: WhyAnswer) -> Iterator[RenderableType]:
    for name, reasons in groupby(answer.conflicts, key=lambda reason: reason.cylinder):
        title = f"Cylinder {name}: rules in conflict" if name else "Rules in conflict together"
        yield heading(title)
        yield bullets(f"{RULE_WORDS[reason.rule]}: {reason.sentence}" for reason in reasons)
    if answer.near_misses:
        yield heading("Nearest miss")
        yield bullets(f"cylinder {miss.cylinder}: {miss.sentence}" for miss in answer.near_misses)
    yield heading("Smallest changes that open it, each tested")
    if answer.openings:
        yield bullets(map(_opening, answer.openings))
    else:
        yield indented("No single change was found that opens it.")


def _opening(opening: Opening) -> str:
    if not opening.cylinder:
        return opening.sentence
    where = f"cylinder {opening.cylinder}: {opening.sentence}"
    return where if opening.opens_job else f"{where} (opens this cylinder, not yet the whole job)"
