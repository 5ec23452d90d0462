"""One component solved: jobs that rules tie simply as a pool, any others in one joint model."""

from __future__ import annotations

from collections.abc import Mapping

from fitsolver.allotment.combinations import separable
from fitsolver.allotment.component import Component
from fitsolver.allotment.days import shares, timed
from fitsolver.allotment.joint import solve_joint
from fitsolver.allotment.result import Result
from fitsolver.allotment.settle import settle
from fitsolver.allotment.start import Keys, one_by_one
from fitsolver.allotment.ways import all_forms, greedy, narrowed, seed, ways_of
from fitsolver.solving.search import Clock

#: Every level but the part number, in whatever order: what a pool is built for.
_ALL = 6


def solve_component(
    component: Component, clock: Clock, last: Mapping[str, Keys] | None = None
) -> Result:
    """Return who is served with what, proven as far as the clock allows.

    Depends on nothing but what it is given; `last` is what jobs took in an earlier answer, from
    which the search starts.
    """
    simple = len(component.order) == _ALL and all(
        separable(job, component.order) for job in component.jobs
    )
    if simple:
        return _as_pool(component, clock, last or {})
    return solve_joint(component, one_by_one(component, clock), clock, last or {})


def _as_pool(component: Component, clock: Clock, last: Mapping[str, Keys]) -> Result:
    clock.tell("combinations")
    whole = ways_of(component, all_forms(component))
    start = narrowed(whole, greedy(whole))
    names = [level.words for level in component.serving]
    names += [level.replace("_", " ") for level in component.order]
    at = component.order.index("days")
    days_at = len(component.serving) + at
    first = settle(whole.pool, start, clock, names[:days_at], seed(whole, last))
    chosen = {choice.taker: choice for choice in first.choices}
    if not first.proven or clock.left == 0:
        nothing = (None,) * (len(names) - days_at)
        return Result(shares(whole, chosen, None), (), (*first.bounds, *nothing))
    later = timed(whole, first.left, first.choices, days_at)
    second = settle(later.pool, later.start, clock, names[days_at:])
    return Result(
        shares(whole, {choice.taker: choice for choice in second.choices}, later),
        (*first.values, *second.values),
        (*first.bounds, *second.bounds),
    )
