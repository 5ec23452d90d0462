"""The final check: pass or fail for the whole, for every cylinder and for every fit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import ceil
from typing import TYPE_CHECKING, Final

from fitsolver.records.figures import Figures, likely
from fitsolver.records.told import cylinder_words
from fitsolver.records.words import RULE_WORDS, counted, fit_name
from fitsolver.reporting.budget_view import corrections_view
from fitsolver.reporting.cylinder_view import odds_facts
from fitsolver.reporting.fit_table import fit_table
from fitsolver.reporting.layout import (
    SCREEN_LINES,
    as_many,
    bullets,
    heading,
    indented,
    lines_of,
    pairs,
    text,
)
from fitsolver.reporting.sections import Section

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.base import FitName
    from fitsolver.records.final import FinalAnswer, FinalCylinder, FinalVerdict, NotJudged
    from fitsolver.records.plan import Fit, OddsOf
    from fitsolver.records.verdicts import Verdict


#: Most cylinders that the short report shows fit by fit.
_FEW: Final = 2
_ORDER: Final[tuple[FinalVerdict, ...]] = ("fail", "not judged", "pass")
_SAID: Final[dict[FinalVerdict, str]] = {
    "pass": "pass",
    "fail": "FAIL",
    "not judged": "not judged",
}


def final_view(
    answer: FinalAnswer, figures: Figures, used: int = 4
) -> Iterator[RenderableType | Section]:
    """Yield the verdict on the whole and on every cylinder, then each with its fits.

    `used` lines of the first screen are taken by what stands above it.
    """
    parts: list[RenderableType] = ["", *_whole(answer)]
    if answer.probability is not None:
        parts.append(
            text(_risk(answer.probability, answer.odds_of, passes=answer.verdict != "fail"))
        )
    few = len(answer.cylinders) <= _FEW
    if answer.together:
        parts += [heading("All cylinders together"), bullets(map(_verdict, answer.together))]
    if not few:
        parts += _each(answer.cylinders, figures, SCREEN_LINES - used - lines_of(parts))
    yield from parts
    for cylinder in answer.cylinders:
        yield Section("fits", _cylinder(cylinder, figures), shut=not few)
    corrections = list(corrections_view(answer.corrections))
    if corrections:
        yield Section("corrections", corrections, shut=not few)


def _whole(answer: FinalAnswer) -> Iterator[RenderableType]:
    """Yield the verdict, and the fits that were not judged; equal cylinders share a line."""
    left_open = "; ".join(_left_open(answer.cylinders))
    if answer.verdict == "pass":
        yield text(
            "PASS: every fit is inside its window, measuring allowance taken off.", "bold green"
        )
    elif answer.verdict == "fail":
        yield text("FAIL: see what is marked below.", "bold red")
        if left_open:
            yield text(f"Not judged besides: {left_open}.", "bold")
    else:
        yield text(f"NOT JUDGED: {left_open}. Nothing that was judged fails.", "bold")


def _each(cylinders: Sequence[FinalCylinder], figures: Figures, room: int) -> list[RenderableType]:
    """Return the verdict on every cylinder in at most `room` lines, alike ones together, those
    that fail first."""
    found: dict[tuple[FinalVerdict, tuple[str, ...]], list[FinalCylinder]] = {}
    for item in sorted(cylinders, key=lambda item: _ORDER.index(item.verdict)):
        failing = (*map(_missed, _failing(item)), *_broken(item))
        found.setdefault((item.verdict, failing), []).append(item)
    lines = [_told(verdict, same, figures) for (verdict, _), same in found.items()]
    counts = [len(same) for same in found.values()]

    def parts(shown: int) -> list[RenderableType]:
        rest = sum(counts[shown:])
        more = [f"{counted(rest, 'cylinder', 'cylinders')} more: --show fits"] * bool(rest)
        return [heading("By cylinder"), bullets([*lines[:shown], *more])]

    return as_many(parts, len(lines), room)


def _told(verdict: FinalVerdict, same: Sequence[FinalCylinder], figures: Figures) -> str:
    """Return the result of equal cylinders: each failing fit with its largest miss, rounded up."""
    said = []
    for fits in zip(*map(_failing, same), strict=True):
        worst = max(fits, key=_missed_by)
        by = figures.edge(worst, _missed_by(worst), "up")
        upto = "up to " if len({_missed_by(fit) for fit in fits}) > 1 else ""
        said.append(f"{fit_name(worst.fit, worst.groove, worst.port)} {upto}{by} {_way(worst)}")
    said += _broken(same[0])
    because = f": {', '.join(said)}" if said else ""
    return f"{cylinder_words([item.cylinder for item in same])}: {_SAID[verdict]}{because}"


def _failing(item: FinalCylinder) -> list[Fit]:
    """Return the fits that were judged and fail."""
    open_fits = _keys(item.not_judged)
    return [
        fit
        for fit in item.fits
        if not fit.holds and (fit.fit, fit.groove, fit.port) not in open_fits
    ]


def _missed(fit: Fit) -> str:
    return f"{fit_name(fit.fit, fit.groove, fit.port)} {_way(fit)}"


def _broken(item: FinalCylinder) -> list[str]:
    return [RULE_WORDS[each.rule] for each in item.verdicts if not each.holds]


def _missed_by(fit: Fit) -> int:
    """Return by how much (ticks) a fit misses its window, or the physical limit."""
    slacks = [slack for slack in (fit.slack_low, fit.slack_high) if slack is not None]
    return max(0, -min(slacks, default=0), fit.short_of_floor)


def _way(fit: Fit) -> str:
    above = fit.slack_high is not None and fit.slack_high < 0
    return "too large" if above else "too small"


def _risk(probability: float, of: OddsOf | None, *, passes: bool) -> str:
    """Return the probability that the judged fits conform, and the risk of the verdict."""
    whole = likely(probability, of)
    if passes:
        risk = _share(1 - probability)
        return f"All that was judged conforms: {whole}; the risk of being out is {risk}."
    return f"All that was judged conforms after all: {whole}, the risk of failing what is right."


def _share(risk: float) -> str:
    """Return a risk in per cent, rounded up to a tenth."""
    return f"{ceil(risk * 1000) / 10:.1f} %"


def _left_open(cylinders: Iterable[FinalCylinder]) -> Iterator[str]:
    """Yield the requested fits that were not judged, with their cylinders, equal ones together."""
    found: dict[str, list[str]] = {}
    for item in cylinders:
        if item.not_judged:
            found.setdefault(", ".join(map(_open_fit, item.not_judged)), []).append(item.cylinder)
    yield from (f"{cylinder_words(names)}, {fits}" for fits, names in found.items())


def _open_fit(item: NotJudged) -> str:
    return f"{fit_name(item.fit, item.groove, item.port)} ({item.why})"


def _cylinder(item: FinalCylinder, figures: Figures) -> Iterator[RenderableType]:
    yield heading(f"Cylinder {item.cylinder}: {_SAID[item.verdict]}")
    facts = [
        ("bore", figures.expected(item.smallest, item.largest)),
        ("piston", f"{item.piston}: skirt {figures.stated(item.skirt.low, item.skirt.high)}"),
        ("rings", ", ".join(item.rings)),
        ("gaskets", ", ".join(item.gaskets)),
    ]
    yield pairs((label, said) for label, said in facts if said)
    yield ""
    yield from fit_table(item.fits, figures, _keys(item.not_judged))
    if item.probability is not None:
        yield indented("")
        yield pairs(odds_facts(item, figures))
    if item.not_judged:
        yield indented(f"NOT JUDGED: {', '.join(map(_open_fit, item.not_judged))}", "bold")
    if item.verdicts:
        yield indented("")
        yield bullets(map(_verdict, item.verdicts))


def _keys(items: Iterable[NotJudged]) -> set[tuple[FitName, int | None, str]]:
    return {(item.fit, item.groove, item.port) for item in items}


def _verdict(item: Verdict) -> str:
    return f"{'pass' if item.holds else 'FAIL'}, {RULE_WORDS[item.rule]}: {item.sentence}"
