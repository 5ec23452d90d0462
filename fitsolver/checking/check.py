"""Run every check of a plan."""

from __future__ import annotations

from typing import Final

from fitsolver.base.errors import CheckError
from fitsolver.checking import figures, numbers, objective, sizes, stack
from fitsolver.checking.rules import CHECKS
from fitsolver.checking.view import view
from fitsolver.records.base import RULES
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.plan import Plan
from fitsolver.records.windows import is_floor

#: Checks of every plan, before its rules and after them.
_FIRST: Final = (
    ("sizes", sizes.violations),
    ("figures", figures.violations),
    ("stack", stack.violations),
    ("numbers", numbers.violations),
)
_LAST: Final = (("objective", objective.violations),)


def violations(job: Job, catalogue: Catalogue, plan: Plan) -> tuple[str, ...]:
    """Return a sentence, led by its rule, for everything wrong with a plan; none when it holds."""
    whole = view(job, catalogue, plan)
    found = []
    for name, check_of in (*_FIRST, *((rule, CHECKS[rule].violations) for rule in RULES), *_LAST):
        found += [f"{name}: {sentence}" for sentence in check_of(whole)]
    for item in plan.cylinders:
        for fit in item.fits:
            if not fit.holds:
                found.append(f"{fit.fit}: cylinder {item.cylinder}: the slack is negative")
            guard = 0 if is_floor(fit.fit, fit.low) else fit.guard
            low = None if fit.low is None else fit.least - fit.low - guard
            high = None if fit.high is None else fit.high - fit.guard - fit.most
            if (fit.slack_low, fit.slack_high) != (low, high):
                found.append(f"{fit.fit}: cylinder {item.cylinder}: the slack is not what is left")
    return tuple(found)


def check(job: Job, catalogue: Catalogue, plan: Plan) -> None:
    """Raise CheckError unless every rule holds and every level equals the plan's value."""
    wrong = violations(job, catalogue, plan)
    if wrong:
        raise CheckError(
            "the solver-free check disagrees with the plan, which is withheld: " + "; ".join(wrong)
        )
