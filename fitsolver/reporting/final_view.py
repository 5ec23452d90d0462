"""The final check: pass or fail for the whole, for every cylinder and for every fit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import ceil
from typing import TYPE_CHECKING, Final

from fitsolver.records.figures import Figures, likely
from fitsolver.records.told import cylinder_words
from fitsolver.records.words import RULE_WORDS, fit_name
from fitsolver.reporting.budget_view import corrections_view
from fitsolver.reporting.cylinder_view import odds_facts
from fitsolver.reporting.fit_table import fit_table
from fitsolver.reporting.layout import bullets, heading, indented, pairs, text
from fitsolver.reporting.sections import Section

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.base import FitName
    from fitsolver.records.final import FinalAnswer, FinalCylinder, FinalVerdict, NotJudged
    from fitsolver.records.plan import OddsOf
    from fitsolver.records.verdicts import Verdict


#: So many cylinders are told fit by fit; of more, those that do not pass.
_FEW: Final = 2
_SAID: Final[dict[FinalVerdict, str]] = {
    "pass": "pass",
    "fail": "FAIL",
    "not judged": "not judged",
}


def final_view(answer: FinalAnswer, figures: Figures) -> Iterator[RenderableType | Section]:
    """Yield the verdict on the whole, then every cylinder with its fits."""
    yield ""
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
    if answer.probability is not None:
        yield text(_risk(answer.probability, answer.odds_of, passes=answer.verdict != "fail"))
    few = len(answer.cylinders) <= _FEW
    for cylinder in answer.cylinders:
        open_too = few or cylinder.verdict != "pass"
        yield Section("fits", _cylinder(cylinder, figures), shut=not open_too)
    if not few:
        passing = [item.cylinder for item in answer.cylinders if item.verdict == "pass"]
        if passing:
            yield text(f"Pass: {cylinder_words(passing)}.")
    if answer.together:
        yield heading("All cylinders together")
        yield bullets(map(_verdict, answer.together))
    yield from corrections_view(answer.corrections)


def _risk(probability: float, of: OddsOf | None, *, passes: bool) -> str:
    """Return how likely what was judged conforms, and the risk that the verdict bears."""
    whole = likely(probability, of)
    if passes:
        risk = _share(1 - probability)
        return f"All that was judged conforms: {whole}; the risk of being out is {risk}."
    return f"All that was judged conforms after all: {whole}, the risk of failing what is right."


def _share(risk: float) -> str:
    """Return a risk in per cent, rounded up to a tenth."""
    return f"{ceil(risk * 1000) / 10:.1f} %"


def _left_open(cylinders: Iterable[FinalCylinder]) -> Iterator[str]:
    """Yield the fits that were asked and not judged, by cylinder."""
    for item in cylinders:
        if item.not_judged:
            yield f"cylinder {item.cylinder}, {', '.join(map(_open_fit, item.not_judged))}"


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
