"""One component solved: jobs that rules tie simply as a pool, any others in one joint model."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fitsolver.allotment.combinations import separable
from fitsolver.allotment.component import Component
from fitsolver.allotment.days import shares, timed
from fitsolver.allotment.forms import Form, Sources, forms
from fitsolver.allotment.joint import solve_joint
from fitsolver.allotment.result import Result
from fitsolver.allotment.settle import settle
from fitsolver.allotment.sizes import groups_by_size
from fitsolver.allotment.start import Keys, one_by_one
from fitsolver.allotment.ways import greedy, narrowed, seed, ways_of
from fitsolver.allotment.whole_plans import whole_plans
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
    found = _forms(component, clock) if len(component.order) == _ALL else None
    if found is not None:
        return _as_pool(component, found, clock, last or {})
    return solve_joint(component, one_by_one(component, clock), clock, last or {})


def _forms(component: Component, clock: Clock) -> dict[str, Sequence[Form]] | None:
    """Return the forms of every job; None where one has more plans than can be listed."""
    clock.tell("combinations")
    found: dict[str, Sequence[Form]] = {}
    sources = Sources(component)
    for job in component.jobs:
        simple = separable(job, component.order)
        mine = (
            list(forms(job, component, sources)) if simple else whole_plans(job, component, clock)
        )
        if mine is None:
            return None
        found[job.name] = mine
    return found


def _as_pool(
    component: Component,
    found: Mapping[str, Sequence[Form]],
    clock: Clock,
    last: Mapping[str, Keys],
) -> Result:
    whole = ways_of(component, found)
    start = narrowed(whole, greedy(whole))
    names = [level.words for level in component.serving]
    names += [level.replace("_", " ") for level in component.order]
    at = component.order.index("days")
    days_at = len(component.serving) + at
    groups = groups_by_size(component)
    first = settle(whole.pool, start, clock, names[:days_at], seed(whole, last), groups)
    chosen = {choice.taker: choice for choice in first.choices}
    if not first.proven or clock.left == 0:
        nothing = (None,) * (len(names) - days_at)
        return Result(shares(whole, chosen, None), (), (*first.bounds, *nothing))
    later = timed(whole, first.left, first.kept, days_at)
    second = settle(later.pool, later.start, clock, names[days_at:], (), groups)
    return Result(
        shares(whole, {choice.taker: choice for choice in second.choices}, later),
        (*first.values, *second.values),
        (*first.bounds, *second.bounds),
    )
