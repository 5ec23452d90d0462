"""All useful plans of one job, for jobs that are not separable."""

from __future__ import annotations

from typing import Final

from fitsolver.allotment.component import Component
from fitsolver.allotment.forms import FOREVER, Candidate, Form, Source
from fitsolver.allotment.prepared import Prepared
from fitsolver.base.deadline import Clock
from fitsolver.solving.wanted import WantedPlan, next_wanted

#: A job with more plans than this is left to the joint model.
_MOST: Final = 200


def whole_plans(job: Prepared, component: Component, clock: Clock) -> list[Form] | None:
    """Return one form that holds all useful plans of a job; no form if it has no plan.

    None if there are too many. If the time runs out, the form holds the plans found so far.
    """
    contested, order = component.contested, component.order
    found: list[WantedPlan] = []
    while len(found) < _MOST and clock.left != 0:
        plan, settled = next_wanted(job.task, job.options, contested, order, found, clock)
        if plan is None:
            return [_form(found, component)] * bool(found) if settled or clock.left == 0 else None
        found.append(plan)
        if not any(plan.taken.values()):
            return [_form(found, component)]  # nothing takes less
    return [_form(found, component)] * bool(found) if clock.left == 0 else None


def _form(found: list[WantedPlan], component: Component) -> Form:
    """Return plans as candidates of one place; their days take the place of the lead time."""
    candidates = []
    for plan in found:
        largest = plan.values["largest_removal"]
        costs = tuple(
            0 if level in ("largest_removal", "days") else plan.values[level]
            for level in component.order
        )
        taken = tuple(n for n, count in sorted(plan.taken.items()) for _ in range(count))
        candidates.append(
            Candidate(costs, largest, Source(taken, (), plan.values["days"]), 0, plan.chosen)
        )
    return Form(FOREVER, FOREVER, (tuple(sorted(candidates, key=lambda c: c.removal)),))
