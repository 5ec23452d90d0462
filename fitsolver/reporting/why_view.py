"""The answer of `why`: conflicts and openings, or the reasons of every choice."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import TYPE_CHECKING, Final

from fitsolver.records.told import cylinder_words
from fitsolver.records.words import RULE_WORDS
from fitsolver.reporting.attention import Item, together
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
    told = ((choice.cylinder, choice.sentence) for choice in answer.choices)
    for names, sentences in _alike(told):
        words = cylinder_words(names)
        yield heading(words[0].upper() + words[1:])
        yield bullets(sentences)
    if not answer.complete:
        yield heading("Not all reasons are told")
        yield indented(_OVER.format("reasons", "found"))


def _conflicts(answer: WhyAnswer) -> Iterator[RenderableType]:
    told = (
        (reason.cylinder, f"{RULE_WORDS[reason.rule]}: {reason.sentence}")
        for reason in answer.conflicts
    )
    for names, sentences in _alike(told):
        words = cylinder_words(names)
        alone = f"{words[0].upper()}{words[1:]}: rules in conflict"
        yield heading("Rules in conflict together" if names == [""] else alone)
        yield bullets(sentences)
    if answer.near_misses:
        yield heading("Nearest miss")
        yield bullets(together(Item(miss.cylinder, miss.sentence) for miss in answer.near_misses))
    yield heading("Smallest changes with which it fits, each tested")
    if answer.openings:
        yield bullets(map(_opening, answer.openings))
    elif answer.complete:
        yield indented("No single change was found with which it fits.")
    if not answer.complete:
        yield indented(_OVER.format("changes", "tried"))


def _alike(told: Iterable[tuple[str, str]]) -> list[tuple[list[str], tuple[str, ...]]]:
    """Return sentences behind the cylinders of which just these are told."""
    found: dict[tuple[str, ...], list[str]] = {}
    for name, group in groupby(told, key=lambda pair: pair[0]):
        found.setdefault(tuple(sentence for _, sentence in group), []).append(name)
    return [(names, sentences) for sentences, names in found.items()]


def _opening(opening: Opening) -> str:
    if not opening.cylinder:
        return opening.sentence
    where = f"cylinder {opening.cylinder}: {opening.sentence}"
    return (
        where if opening.opens_job else f"{where} (then this cylinder fits, not yet the whole job)"
    )
