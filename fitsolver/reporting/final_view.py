"""The final check: pass or fail for the whole, for every cylinder and for every fit."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from fitsolver.reporting.budget_view import corrections_view
from fitsolver.reporting.figures import Figures
from fitsolver.reporting.fit_table import fit_table
from fitsolver.reporting.layout import bullets, heading, indented, pairs, text
from fitsolver.reporting.words import RULE_WORDS

if TYPE_CHECKING:
    from rich.console import RenderableType

    from fitsolver.records.final import FinalAnswer, FinalCylinder
    from fitsolver.records.verdicts import Verdict


def final_view(answer: FinalAnswer, figures: Figures) -> Iterator[RenderableType]:
    """Yield the verdict on the whole, then every cylinder with its fits."""
    yield ""
    if answer.passes:
        yield text("PASS: every fit is inside its window, guard taken off.", "bold green")
    else:
        yield text("FAIL: see what is marked below.", "bold red")
    for cylinder in answer.cylinders:
        yield from _cylinder(cylinder, figures)
    if answer.together:
        yield heading("All cylinders together")
        yield bullets(map(_verdict, answer.together))
    yield from corrections_view(answer.corrections)


def _cylinder(item: FinalCylinder, figures: Figures) -> Iterator[RenderableType]:
    yield heading(f"Cylinder {item.cylinder}: {'pass' if item.passes else 'FAIL'}")
    facts = [
        ("bore", figures.expected(item.smallest, item.largest)),
        ("piston", f"{item.piston}: skirt {figures.nominal(item.skirt.low, item.skirt.high)}"),
        ("rings", ", ".join(item.rings)),
        ("gaskets", ", ".join(item.gaskets)),
    ]
    yield pairs((label, said) for label, said in facts if said)
    yield ""
    yield from fit_table(item.fits, figures)
    if item.verdicts:
        yield indented("")
        yield bullets(map(_verdict, item.verdicts))


def _verdict(item: Verdict) -> str:
    return f"{'pass' if item.holds else 'FAIL'}, {RULE_WORDS[item.rule]}: {item.sentence}"
