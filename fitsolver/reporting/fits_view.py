"""The counter's answer: part sets for a bore as it is, best first, with a verdict per rule."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import TYPE_CHECKING, Final

from fitsolver.reporting.figures import Figures, money
from fitsolver.reporting.layout import heading, indented, pairs
from fitsolver.reporting.words import FIT_WORDS, RULE_WORDS, counted

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.plan import Fit
    from fitsolver.records.verdicts import FitsAnswer, PartSet

#: The fits whose values to expect are shown; the others are in the JSON document.
_SHOWN: Final = ("clearance", "end_gap", "squish")


def fits_view(answer: FitsAnswer, figures: Figures, first: int | None) -> list[RenderableType]:
    """Return the sets of every cylinder, at most `first` each (None = all)."""
    if not answer.sets:
        return ["", indented("There is no part set to look at: nothing may be left as it is.")]
    parts: list[RenderableType] = []
    for name, group in groupby(answer.sets, key=lambda item: item.cylinder):
        sets = list(group)
        fitting = sum(item.holds for item in sets)
        parts.append(heading(f"Cylinder {name}"))
        fit = "fits" if fitting == 1 else "fit"
        parts.append(indented(f"{fitting} of {counted(len(sets), 'set', 'sets')} {fit}."))
        for place, item in enumerate(sets[:first], start=1):
            parts += ["", *_set(place, item, figures, answer.currency)]
        hidden = len(sets) - len(sets[:first])
        if hidden:
            parts += ["", indented(f"{counted(hidden, 'more set is', 'more sets are')} not shown.")]
    return parts


def _set(place: int, item: PartSet, figures: Figures, currency: str) -> list[RenderableType]:
    verdict, style = ("fits", "bold green") if item.holds else ("does not fit", "bold red")
    named = f"kit {item.kit}, piston {item.piston}" if item.kit else f"piston {item.piston}"
    lines = [indented(f"{place}. {named}: {verdict}", style)]
    return [*lines, pairs(_facts(item, figures, currency))]


def _facts(item: PartSet, figures: Figures, currency: str) -> Iterator[tuple[str, str]]:
    if item.rings:
        yield "   rings", ", ".join(item.rings)
    if item.gaskets:
        yield "   gaskets", ", ".join(item.gaskets)
    yield "   price", "cannot be had" if item.price is None else money(item.price, currency)
    for verdict in item.verdicts:
        if not verdict.holds:
            yield "   misses", f"{RULE_WORDS[verdict.rule]}: {verdict.sentence}"
    expected = [_expected(fit, figures) for fit in item.fits if fit.fit in _SHOWN]
    if expected:
        yield "   expect", "; ".join(expected)
    held = [
        RULE_WORDS[verdict.rule]
        + ("" if verdict.margin is None else f" by {figures.down(verdict.margin)}")
        for verdict in item.verdicts
        if verdict.holds
    ]
    if held:
        yield "   holds", ", ".join(held)


def _expected(fit: Fit, figures: Figures) -> str:
    groove = "" if fit.groove is None else f" {fit.groove}"
    return f"{FIT_WORDS[fit.fit]}{groove} {figures.expected(fit.least, fit.most)}"
