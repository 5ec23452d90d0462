"""The counter's answer: part sets for a bore as it is, best first, with a verdict per rule."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import TYPE_CHECKING, Final

from fitsolver.records.base import THOUSANDTHS
from fitsolver.records.figures import NONE, Figures, money, thousandths
from fitsolver.records.rules import RULE_OF
from fitsolver.records.told import cylinder_words, names_together
from fitsolver.records.words import FIT_WORDS, RULE_WORDS, counted, fit_name
from fitsolver.reporting.layout import Columns, heading, indented, pairs
from fitsolver.reporting.sections import WHOLE, Opened, Section
from fitsolver.reporting.tables import table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.base import RuleId
    from fitsolver.records.plan import Fit
    from fitsolver.records.verdicts import FitsAnswer, PartSet, Verdict

#: Rules that a set satisfies: left out of the nearest set that does not fit.
_HOLDS: Final = ("expect", "holds")
_MISSED: Final[Columns] = (
    ("misses most", "text"),
    ("sets", "figure"),
    ("nearest", "text"),
    ("by", "figure"),
)
_BEST: Final[Columns] = (
    ("cylinder", "text"),
    ("fit", "figure"),
    ("best or nearest", "text"),
    ("misses most", "text"),
    ("by", "figure"),
)
#: So many cylinders (alike ones count as one) are told set by set; of more, so many have a line.
_FEW, _ROWS = 2, 12
#: The fits whose expected values are always shown; other fits are shown only if they miss.
_SHOWN: Final = ("clearance", "end_gap", "squish")
#: The fits that bind below their window; of the others one says that they are too small.
_BINDING: Final = ("clearance", "end_gap", "side_clearance", "squish")


def fits_view(
    answer: FitsAnswer, figures: Figures, first: int | None = None, opened: Opened = WHOLE
) -> Iterator[RenderableType | Section]:
    """Yield the sets of every cylinder, at most `first` each (None = all), those that fit first.

    Of the sets that do not fit, the nearest is shown and the others are counted by the rule they
    miss; the section `misses` has them all. Cylinders with the same sets share an entry.
    """
    if not answer.sets:
        yield ""
        yield indented("There is no part set to look at: nothing may be left as it is.")
        return
    groups = _alike(answer.sets)
    shut = len(groups) > _FEW
    if shut:
        yield from _summary(groups, figures, len(groups) if opened.has("sets") else _ROWS)
    for names, sets in groups:
        whole = opened.has("misses")
        parts = _of_cylinders(names, sets, figures, answer.currency, first, misses=whole)
        yield Section("sets", parts, shut=shut and not whole)
    if any(not item.holds for item in answer.sets) and not opened.has("misses"):
        yield Section("misses", ())


def _of_cylinders(
    names: list[str],
    sets: list[PartSet],
    figures: Figures,
    currency: str,
    first: int | None,
    *,
    misses: bool,
) -> Iterator[RenderableType]:
    words = cylinder_words(names)
    yield heading(words[0].upper() + words[1:])
    fitting = [item for item in sets if item.holds]
    fit = "fits" if len(fitting) == 1 else "fit"
    yield indented(f"{len(fitting)} of {counted(len(sets), 'set', 'sets')} {fit}.")
    missing = [item for item in sets if not item.holds]
    shown = fitting[:first]
    for place, item in enumerate(shown, start=1):
        yield from ("", *_set(place, item, figures, currency))
    room = None if first is None else max(0, first - len(shown))
    if missing and not misses:
        yield from _in_short(missing, len(shown), figures, currency)
    if misses:
        yield from _blocks(missing[:room], len(shown), figures, currency)
    hidden = len(fitting) - len(shown)
    hidden += len(missing) - len(missing[:room]) if misses else 0
    if hidden:
        yield ""
        yield indented(f"{counted(hidden, 'more set is', 'more sets are')} not shown.")


def _summary(
    groups: list[tuple[list[str], list[PartSet]]], figures: Figures, most: int
) -> Iterator[RenderableType]:
    """Yield a line for the cylinders that have the same sets: the best of these sets."""
    yield heading("Sets that fit the bores as they are")
    yield table(_BEST, [_best(names, sets, figures) for names, sets in groups[:most]])
    more = sum(len(names) for names, _ in groups[most:])
    if more:
        yield indented(f"{counted(more, 'cylinder', 'cylinders')} more: --show sets")


def _best(names: list[str], sets: list[PartSet], figures: Figures) -> tuple[str, ...]:
    fitting = [item for item in sets if item.holds]
    best = (fitting or sets)[0]
    worst = min((v for v in best.verdicts if not v.holds), key=_by, default=None)
    misses = "" if worst is None else RULE_WORDS[worst.rule]
    by = "" if worst is None or worst.margin is None else figures.up(-worst.margin)
    return names_together(names), f"{len(fitting)} of {len(sets)}", _named(best), misses, by


def _alike(sets: Iterable[PartSet]) -> list[tuple[list[str], list[PartSet]]]:
    """Return the sets of each cylinder, cylinders with the same sets and figures together."""
    found: list[tuple[list[str], list[PartSet], list[PartSet]]] = []
    for name, group in groupby(sets, key=lambda item: item.cylinder):
        own = list(group)
        bare = [item.model_copy(update={"cylinder": ""}) for item in own]
        same = next((names for names, _, known in found if known == bare), None)
        if same is None:
            found.append(([name], own, bare))
        else:
            same.append(name)
    return [(names, own) for names, own, _ in found]


def _blocks(
    sets: Iterable[PartSet], before: int, figures: Figures, currency: str
) -> Iterator[RenderableType]:
    for place, item in enumerate(sets, start=before + 1):
        yield from ("", *_set(place, item, figures, currency))


def _in_short(
    missing: list[PartSet], before: int, figures: Figures, currency: str
) -> Iterator[RenderableType]:
    """Yield the nearest of the sets that do not fit, and the others counted by what they miss."""
    if not before:
        yield ""
        yield from _set(1, missing[0], figures, currency, brief=True)
    found: dict[RuleId, list[tuple[PartSet, Verdict]]] = {}
    for item in missing:
        worst = min((v for v in item.verdicts if not v.holds), key=_by, default=None)
        if worst is not None:
            found.setdefault(worst.rule, []).append((item, worst))
    rows = [_count(rule, sets, figures) for rule, sets in found.items()]
    yield ""
    yield indented("Those that do not fit, by what each misses most:")
    yield table(_MISSED, rows)


def _by(verdict: Verdict) -> float:
    """Return by how much a rule is missed, below 0; a miss without a figure sorts first."""
    return float("-inf") if verdict.margin is None else verdict.margin


def _count(rule: RuleId, sets: list[tuple[PartSet, Verdict]], figures: Figures) -> tuple[str, ...]:
    item, verdict = max(sets, key=lambda pair: _by(pair[1]))
    by = NONE if verdict.margin is None else figures.up(-verdict.margin)
    return RULE_WORDS[rule], str(len(sets)), _named(item), by


def _named(item: PartSet) -> str:
    return f"kit {item.kit}" if item.kit else item.piston


def _set(
    place: int, item: PartSet, figures: Figures, currency: str, *, brief: bool = False
) -> list[RenderableType]:
    verdict, style = ("fits", "bold green") if item.holds else ("does not fit", "bold red")
    named = f"kit {item.kit}, piston {item.piston}" if item.kit else f"piston {item.piston}"
    lines = [indented(f"{place}. {named}: {verdict}", style)]
    facts = list(_facts(item, figures, currency))
    return [*lines, pairs(facts if not brief else (f for f in facts if f[0].strip() not in _HOLDS))]


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
