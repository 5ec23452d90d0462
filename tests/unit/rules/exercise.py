"""Every part of a rule, run: what a job that the rule refuses is told from each side."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import cycle
from pathlib import Path

import numpy as np

import fitsolver
from fitsolver.checking.check import violations
from fitsolver.checking.rules import may_serve
from fitsolver.checking.view import view
from fitsolver.choices.demands import DEMANDS
from fitsolver.choices.types import ALL_RULES
from fitsolver.explain.reasons import no_fit
from fitsolver.explain.why import nothing_fits
from fitsolver.metrology.form import extremes
from fitsolver.records.base import RuleId
from fitsolver.records.catalogue import Catalogue, Piston
from fitsolver.records.job import Cylinder, InHand, Job, PinnedRing
from fitsolver.records.rules import LOCAL, REGISTRY, RULE_OF, RULES
from fitsolver.screening.pattern import pattern
from fitsolver.screening.screen import Bores, Screen
from fitsolver.solving.possible import possible
from fitsolver.solving.problem import problem
from fitsolver.usecases.counter import sets_of
from fitsolver.usecases.final_check import final_check

from . import small

DOCS = Path(fitsolver.__file__).parents[1] / "docs"
#: Rules that join cylinders.
COUPLING = frozenset(RULES) - LOCAL


def solver(rule: RuleId, kept: small.Case, refused: small.Case) -> None:
    """The rule alone stands in the way of a plan."""
    assert small.plan_of(*kept) is not None
    task = problem(*refused)
    assert not possible(task), f"the solver does not hold {rule}"
    assert possible(task, ALL_RULES - {rule}), f"another rule than {rule} stands in the way"


def check(rule: RuleId, kept: small.Case, refused: small.Case) -> None:
    """A plan that keeps the rule in one job breaks it in the other, and the check says so."""
    plan = small.holds(*kept)
    assert small.broken(rule, *refused, plan), violations(*refused, plan)


def later(rule: RuleId, kept: small.Case, refused: small.Case) -> None:
    """The check of rebuilds to come refuses the pistons that the choices refuse, and no others."""
    item = view(*refused, small.holds(*kept)).cylinders[0]
    for piston in problem(*refused).cylinders[0].pistons:
        assert may_serve(item, piston.candidate.part) is not bool(piston.refusals), rule


def counter(rule: RuleId, kept: small.Case, refused: small.Case) -> None:
    """Every part set in the bore as it is has a verdict against it, of the rules shown there."""
    sets = sets_of(*refused)
    assert sets
    for item in sets:
        against = {verdict.rule for verdict in item.verdicts if not verdict.holds}
        shown = {verdict.rule for verdict in item.verdicts}
        if REGISTRY[rule].at_counter == "never":
            assert rule not in shown
        else:
            assert rule in against, f"the counter does not hold {rule}"
            assert not item.holds


def finished(case: small.Case) -> Job:
    """Return the job with its bores finished as they are read, and parts fitted in their order."""
    job, parts = case
    gaskets = tuple(InHand(number=gasket.number) for gasket in parts.gaskets)
    fitted = zip(job.cylinders, cycle(parts.pistons), strict=False)
    return job.model_copy(
        update={
            "finishing": "already finished",
            "routes": (),
            "in_hand": (*job.in_hand, *gaskets) if job.gaskets else (),
            "cylinders": tuple(_with(cylinder, piston, parts) for cylinder, piston in fitted),
        }
    )


def _with(cylinder: Cylinder, piston: Piston, parts: Catalogue) -> Cylinder:
    number = parts.rings[0].number
    rings = tuple(PinnedRing(groove=groove.number, number=number) for groove in piston.grooves)
    update = {"routes": (), "route": None, "piston": piston.number, "rings": rings}
    return cylinder.model_copy(update=update)


def final(rule: RuleId, kept: small.Case, refused: small.Case) -> None:
    """The final check of such an engine fails by it: of parts and bores, not of cuts and orders."""
    found = final_check(finished(refused), refused.parts)
    verdicts = [*found.together, *(v for item in found.cylinders for v in item.verdicts)]
    against = {verdict.rule for verdict in verdicts if not verdict.holds}
    against |= {RULE_OF[fit.fit] for item in found.cylinders for fit in item.fits if not fit.holds}
    assert (rule in against) is (rule not in ("route_cut", "displacement", "availability")), against


def screened(rule: RuleId) -> bool:
    """Tell whether rows of a table are held to a rule: not to stacks, nor to other cylinders."""
    of = DEMANDS.get(rule)
    return rule == "availability" or (rule in LOCAL and not (of and of.stack))


def screening(rule: RuleId, kept: small.Case, refused: small.Case) -> None:
    """A row of a table with the same bore finds nothing."""
    for case, found in ((kept, True), (refused, not screened(rule))):
        first = case.job.cylinders[0]
        smallest, largest = extremes(first)
        bores = Bores(*(np.array([size]) for size in (largest, smallest, first.scratch)))
        row = Screen(pattern(*case)).screen(bores, first.material)
        assert bool(row.choice[0]) is found, f"screening and {rule}"


def sentence(rule: RuleId, kept: small.Case, refused: small.Case) -> None:
    """What is told names the rule, with a figure or a part."""
    reasons = {reason.rule: reason.sentence for reason in no_fit(problem(*refused)).reasons}
    assert rule in reasons, reasons
    assert re.search(r"\d|\bP\b|\bR\b", reasons[rule]), reasons[rule]
    told = nothing_fits(problem(*refused))
    assert rule in {reason.rule for reason in told.conflicts}


def relaxation(rule: RuleId, kept: small.Case, refused: small.Case) -> None:
    """Where a window, a limit or the terms of the job could give way, the change is told."""
    known = REGISTRY[rule]
    if known.fits or known.limit or rule in COUPLING:
        assert nothing_fits(problem(*refused)).openings, f"nothing gives way of {rule}"


def page(rule: RuleId, kept: small.Case, refused: small.Case) -> None:
    """Its page is there and says what it refuses; the meaning stands in the table of decisions."""
    known = REGISTRY[rule]
    text = (DOCS / known.page).read_text(encoding="utf-8")
    assert text.startswith(f"# `{rule}`\n")
    assert f"| `{rule}` |" in (DOCS / "decision.md").read_text(encoding="utf-8")
    for words in (known.label, known.title, known.refuses):
        assert words


Part = Callable[[RuleId, small.Case, small.Case], None]
PARTS: tuple[Part, ...] = (
    solver,
    check,
    later,
    counter,
    final,
    screening,
    sentence,
    relaxation,
    page,
)
