"""The answer of `why`: conflicts and openings, or the reasons of every choice."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import TYPE_CHECKING, Final

from fitsolver.records.words import RULE_WORDS
from fitsolver.reporting.layout import bullets, heading, indented, text

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.figures import Figures
    from fitsolver.records.plan import Status
    from fitsolver.records.why import Opening, WhyAnswer


#: Of a plan that is not proven best no choice is explained: another plan may be better.
_NOT_PROVEN: Final[dict[Status, str]] = {
    "undecided": (
        "UNDECIDED: in the time given no plan was found, nor that there is none. Give more time."
    ),
    "best found": (
        "BEST FOUND in the time given, not proven best: only choices of a plan that is are "
        "explained. Give more time."
    ),
}
_OVER: Final = "The time was over before all {} were {}: give more time."


def why_view(answer: WhyAnswer, _: Figures) -> Iterator[RenderableType]:
    """Yield the status line, then conflicts and openings, or the reasons of the plan."""
    if answer.status == "nothing fits":
        yield ""
        yield text("NOTHING FITS: no choice of parts and work keeps every rule.", "bold red")
        yield from _conflicts(answer)
        return
    if answer.status in _NOT_PROVEN:
        yield ""
        yield text(_NOT_PROVEN[answer.status], "bold yellow")
        return
    yield ""
    yield text("Why the best plan is as it is; `fitsolver pick` shows the plan.", "bold")
    for name, choices in groupby(answer.choices, key=lambda choice: choice.cylinder):
        yield heading(f"Cylinder {name}")
        yield bullets(choice.sentence for choice in choices)
    if not answer.complete:
        yield heading("Not all reasons are told")
        yield indented(_OVER.format("reasons", "found"))


def _conflicts(answer: WhyAnswer) -> Iterator[RenderableType]:
    for name, reasons in groupby(answer.conflicts, key=lambda reason: reason.cylinder):
        title = f"Cylinder {name}: rules in conflict" if name else "Rules in conflict together"
        yield heading(title)
        yield bullets(f"{RULE_WORDS[reason.rule]}: {reason.sentence}" for reason in reasons)
    if answer.near_misses:
        yield heading("Nearest miss")
        yield bullets(f"cylinder {miss.cylinder}: {miss.sentence}" for miss in answer.near_misses)
    yield heading("Smallest changes with which it fits, each tested")
    if answer.openings:
        yield bullets(map(_opening, answer.openings))
    elif answer.complete:
        yield indented("No single change was found with which it fits.")
    if not answer.complete:
        yield indented(_OVER.format("changes", "tried"))


def _opening(opening: Opening) -> str:
    if not opening.cylinder:
        return opening.sentence
    where = f"cylinder {opening.cylinder}: {opening.sentence}"
    return (
        where if opening.opens_job else f"{where} (then this cylinder fits, not yet the whole job)"
    )
