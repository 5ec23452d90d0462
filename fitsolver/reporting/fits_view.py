"""The counter's answer: part sets for a bore as it is, best first, with a verdict per rule."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import TYPE_CHECKING, Final

from fitsolver.records.base import THOUSANDTHS
from fitsolver.records.figures import Figures, money, thousandths
from fitsolver.records.rules import RULE_OF
from fitsolver.records.words import FIT_WORDS, RULE_WORDS, counted, fit_name
from fitsolver.reporting.layout import heading, indented, pairs

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.plan import Fit
    from fitsolver.records.verdicts import FitsAnswer, PartSet

#: The fits whose values to expect are shown; of the others only those that miss.
_SHOWN: Final = ("clearance", "end_gap", "squish")
#: The fits that bind below their window; of the others one says that they are too small.
_BINDING: Final = ("clearance", "end_gap", "side_clearance", "squish")


def fits_view(
    answer: FitsAnswer, figures: Figures, first: int | None = None
) -> list[RenderableType]:
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
    yield from _misses(item, figures)
    expected = [_expected(fit, figures) for fit in item.fits if fit.holds and fit.fit in _SHOWN]
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


def _misses(item: PartSet, figures: Figures) -> Iterator[tuple[str, str]]:
    """Yield every broken rule whose sentence says more than its fits, then every fit missed."""
    missed = {RULE_OF[fit.fit] for fit in item.fits if not fit.in_window}
    for verdict in item.verdicts:
        told = verdict.rule in missed
        if verdict.rule in _SHOWN:  # filed too far, or forbidden by physics: no fit tells that
            told = told and verdict.sentence.startswith("misses by")
        if not verdict.holds and not told:
            yield "   misses", f"{RULE_WORDS[verdict.rule]}: {verdict.sentence}"
    for fit in item.fits:
        if not fit.in_window:
            yield "   misses", f"{_expected(fit, figures)}, {' and '.join(_sides(fit, figures))}"


def _sides(fit: Fit, figures: Figures) -> Iterator[str]:
    """Yield the edge (guard taken off) that a fit misses, to which side and by how much."""
    if fit.low is not None and fit.slack_low is not None and fit.slack_low < 0:
        side = "tight" if fit.fit in _BINDING else "small"
        edge, by = figures.edge(fit, fit.low + fit.guard, "up"), -fit.slack_low
        yield f"permitted from {edge}: too {side} by {figures.edge(fit, by, 'up')}"
    if fit.high is not None and fit.slack_high is not None and fit.slack_high < 0:
        edge, by = figures.edge(fit, fit.high - fit.guard, "down"), -fit.slack_high
        yield f"permitted up to {edge}: too large by {figures.edge(fit, by, 'up')}"


def _expected(fit: Fit, figures: Figures) -> str:
    if fit.fit in THOUSANDTHS:
        least, most = thousandths(fit.least), thousandths(fit.most)
        return f"{fit_name(fit.fit, port=fit.port)}: {least} to {most}"
    groove = "" if fit.groove is None else f", groove {fit.groove}"
    filed = f" (filed by {figures.up(fit.filed)})" if fit.filed else ""
    return f"{FIT_WORDS[fit.fit]}{groove}: {figures.expected(fit.least, fit.most)}{filed}"
