"""The answer of `why`: conflicts and openings, or the reasons of every choice."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING, Final

from fitsolver.records.words import RULE_WORDS
from fitsolver.reporting.folded import Told, by_cylinder, folded
from fitsolver.reporting.layout import bullets, heading, indented, lines_of, text
from fitsolver.reporting.sections import WHOLE, Opened, Section

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.figures import Figures
    from fitsolver.records.plan import Status
    from fitsolver.records.why import Opening, WhyAnswer


#: Reason for no explanations: if a plan is not proven best, another plan may be better.
_NOT_PROVEN: Final[dict[Status, str]] = {
    "undecided": (
        "UNDECIDED: in the time given no plan was found, nor that there is none. Give more time."
    ),
    "best found": (
        "BEST FOUND in the time given, not proven best: only choices of a plan that is are "
        "explained. Give more time."
    ),
}
#: Lines of the reasons that come with the answer whatever they are, and sentences of a list.
_ROOM: Final = 18
_FEW: Final = 2
#: The reasons shown for every choice, before rings and limits.
_FIRST: Final = ("size", "finish")
_OVER: Final = "The time was over before all {} were {}: give more time."


def why_view(
    answer: WhyAnswer, _: Figures, opened: Opened = WHOLE
) -> Iterator[RenderableType | Section]:
    """Yield the status line, then conflicts and openings, or the reasons of the plan."""
    yield ""
    if answer.status == "nothing fits":
        yield text("NOTHING FITS: no choice of parts and work keeps every rule.", "bold red")
        yield from _conflicts(answer, opened)
        return
    if answer.status in _NOT_PROVEN:
        yield text(_NOT_PROVEN[answer.status], "bold yellow")
        return
    yield text("Why the best plan is as it is; `fitsolver pick` shows the plan.", "bold")
    yield from _choices(answer, opened)
    if not answer.complete:
        yield heading("Not all reasons are told")
        yield indented(_OVER.format("reasons", "found"))


def _choices(answer: WhyAnswer, opened: Opened) -> Iterator[RenderableType | Section]:
    """Yield the reasons for each size and each finish; rings and limits too if there is room."""

    def title(group: Told) -> str:
        return _capital(group.words)

    whole = by_cylinder((choice.cylinder, choice.sentence) for choice in answer.choices)
    if opened.has("rings") or lines_of(_under(folded(whole), title)) <= _ROOM:
        yield from _told(whole, opened, title)
        return
    first = (choice for choice in answer.choices if choice.subject in _FIRST)
    yield from _told(by_cylinder((c.cylinder, c.sentence) for c in first), opened, title)
    yield Section("rings", ())


def _told(
    groups: Sequence[Told], opened: Opened, title: Callable[[Told], str], room: int = _ROOM
) -> Iterator[RenderableType | Section]:
    """Yield sentences under the cylinders; those that differ in figures only once, where shut."""
    parts = list(_under(groups, title))
    if opened.has("cylinders") or lines_of(parts) <= room:
        yield from parts
        return
    yield from _under(folded(groups), title)
    yield Section("cylinders", ())


def _under(groups: Iterable[Told], title: Callable[[Told], str]) -> Iterator[RenderableType]:
    for group in groups:
        yield heading(title(group))
        yield bullets(group.sentences)


def _conflicts(answer: WhyAnswer, opened: Opened) -> Iterator[RenderableType | Section]:
    told = by_cylinder(
        (reason.cylinder, f"{RULE_WORDS[reason.rule]}: {reason.sentence}")
        for reason in answer.conflicts
    )
    yield from _told(told, opened, _of_conflict, _ROOM // 2)
    if answer.near_misses:
        yield heading("Nearest miss")
        yield bullets(_lines(((m.cylinder, m.sentence) for m in answer.near_misses), opened))
    yield heading("Smallest changes with which it fits, each tested")
    if answer.openings:
        yield bullets(_lines(map(_opening, answer.openings), opened))
    elif answer.complete:
        yield indented("No single change was found with which it fits.")
    if not answer.complete:
        yield indented(_OVER.format("changes", "tried"))


def _of_conflict(group: Told) -> str:
    if group.cylinders == ("",):
        return "Rules in conflict together"
    return f"{_capital(group.words)}: rules in conflict"


def _lines(told: Iterable[tuple[str, str]], opened: Opened) -> list[str]:
    """Return a line a sentence, alike ones together; more than a few without their figures."""
    found: dict[str, list[str]] = {}
    for name, sentence in told:
        found.setdefault(sentence, []).append(name)
    groups = [Told(tuple(names), (sentence,)) for sentence, names in found.items()]
    if len(groups) > _FEW and not opened.has("cylinders"):
        groups = [
            one
            for _, same in groupby(sorted(groups, key=_of_job), key=_of_job)
            for one in folded(list(same))
        ]
    return [f"{g.words}: {g.sentences[0]}" if any(g.cylinders) else g.sentences[0] for g in groups]


def _of_job(group: Told) -> bool:
    return not any(group.cylinders)


def _opening(opening: Opening) -> tuple[str, str]:
    alone = opening.cylinder and not opening.opens_job
    then = " (then this cylinder fits, not yet the whole job)" if alone else ""
    return opening.cylinder, f"{opening.sentence}{then}"


def _capital(words: str) -> str:
    return words[0].upper() + words[1:]
