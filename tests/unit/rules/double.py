"""An invented rule added through the registry alone, then run through every part of a rule.

`groove_count`: no piston with more than one ring groove. Run in an interpreter of its own, for the
lists of rules are read when the package is loaded: `python -m tests.unit.rules.double`.
"""

# ruff: noqa: E402 - the rule is registered before anything reads the list of rules
from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any, Final, Literal

import pytest

from fitsolver.records import rules

NAME: Final[Any] = "groove_count"
MOST: Final = 1
RULE: Final = rules.Rule(
    NAME, "groove count", "grooves of the piston", "a piston with more than one ring groove"
)
rules.REGISTRY[NAME] = RULE
vars(rules).update(
    RULES=(*rules.RULES, NAME),
    LOCAL=rules.LOCAL | {NAME},
    RuleId=Literal[(*rules.RULES, NAME)],  # type: ignore[valid-type]
)

from fitsolver.checking.check import violations
from fitsolver.checking.rules import CHECKS, Check
from fitsolver.choices import demands
from fitsolver.choices.types import ALL_RULES
from fitsolver.explain.why import nothing_fits
from fitsolver.planning.plan import make_plan
from fitsolver.records.catalogue import Groove
from fitsolver.records.words import RULE_WORDS
from fitsolver.solving.problem import problem
from fitsolver.solving.solve import best
from fitsolver.usecases.counter import sets_of

from . import exercise, small

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from fitsolver.checking.view import CylinderView, PlanView
    from fitsolver.choices.parts import PistonCandidate
    from fitsolver.choices.types import CylinderChoices
    from fitsolver.records.catalogue import Piston


def _demand(state: CylinderChoices, candidate: PistonCandidate) -> Sequence[demands.Demand]:
    part = candidate.part
    if len(part.grooves) <= MOST:
        return ()
    return (demands.Refused(f"{part.number} has {len(part.grooves)} ring grooves"),)


def _violations(view: PlanView) -> Iterator[str]:
    for item in view.cylinders:
        if len(item.piston.part.grooves) > MOST:
            yield f"cylinder {item.name}: too many ring grooves"


def _refuses(item: CylinderView, piston: Piston) -> bool:
    return len(piston.grooves) > MOST


demands.DEMANDS[NAME] = demands.Demands(piston=_demand)
CHECKS[NAME] = Check(_violations, _refuses)

SECOND: Final = small.PISTON.grooves[0].model_copy(update={"number": 2})
RING: Final = small.part(small.RING, grooves=(1, 2))


def with_grooves(*grooves: Groove) -> small.Case:
    piston = small.part(small.PISTON, grooves=grooves)
    return small.Case(small.job(), small.catalogue(pistons=(piston,), rings=(RING,)))


def check(refused: small.Case) -> None:
    """The plan that all other rules leave breaks this one, and no other."""
    whole = problem(*refused)
    found = best(whole, active=ALL_RULES - {NAME})
    assert found.selection is not None
    plan = make_plan(*refused, whole.shelf, whole.cylinders, found.selection, found.levels)
    assert violations(*refused, plan) == (f"{NAME}: cylinder 1: too many ring grooves",)


def main() -> int:
    kept = with_grooves(*small.PISTON.grooves)
    refused = with_grooves(*small.PISTON.grooves, SECOND)
    for part in (p for p in exercise.PARTS if p not in (exercise.check, exercise.page)):
        part(NAME, kept, refused)
    check(refused)
    with pytest.raises(FileNotFoundError):
        exercise.page(NAME, kept, refused)
    [told] = nothing_fits(problem(*refused)).conflicts
    [item] = sets_of(*refused)
    [verdict] = [each for each in item.verdicts if not each.holds]
    print(f"{RULE_WORDS[NAME]}: {told.sentence}; at the counter: {verdict.sentence}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
