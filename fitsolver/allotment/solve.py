"""The solution of one component: separable jobs by columns, others in one joint model."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fitsolver.allotment.combinations import separable
from fitsolver.allotment.component import Component
from fitsolver.allotment.days import selections, timing_of
from fitsolver.allotment.forms import Form, Sources, forms
from fitsolver.allotment.formulation import Formulation, formulation_of, greedy, narrowed, seeds_of
from fitsolver.allotment.joint import solve_joint
from fitsolver.allotment.result import Result
from fitsolver.allotment.sizes import groups_by_size
from fitsolver.allotment.start import one_by_one
from fitsolver.allotment.stopping import over
from fitsolver.allotment.ties import ties_of
from fitsolver.allotment.whole_plans import whole_plans
from fitsolver.base.deadline import Clock
from fitsolver.choices.selection import Selection
from fitsolver.mip.fixing import lifted
from fitsolver.mip.instance import Column, feasible, objective
from fitsolver.mip.lexicographic import minimum
from fitsolver.mip.timed_levels import timed_minimum
from fitsolver.solving.solve import best

#: The levels of a formulation, in any order: all but the part number.
_ALL = 6


def solve_component(
    component: Component, clock: Clock, last: Mapping[str, Selection] | None = None
) -> Result:
    """Return the jobs served and their selections, proven as far as the clock allows.

    The result depends on the arguments only. `last` holds the selections of an earlier answer,
    where the search starts.
    """
    last = last or {}
    summed = len(component.order) == _ALL
    if len(component.jobs) == 1 and not (summed and separable(component.jobs[0], component.order)):
        return _picked(component, clock)
    found = None
    if summed:
        found = forms_of_jobs(component, clock)
    if found is not None:
        return by_columns(component, found, clock, last)
    return solve_joint(component, one_by_one(component, clock), clock, last)


def _picked(component: Component, clock: Clock) -> Result:
    """Return the result of a component of one job, as `pick` answers it."""
    (job,) = component.jobs
    if clock.left == 0:
        return _nobody(component)
    try:
        found = best(job.task, clock)
    except KeyboardInterrupt:  # it came before there was a plan
        return _nobody(component)
    out = tuple(int(level.counts(job.entry)) for level in component.serving)
    if found.selection is None:
        values = (*out, *[0] * len(component.order))
        return Result({}, values, values) if found.settled else _nobody(component)
    order = {item.level: item for item in found.levels}
    values = (*[0] * len(out), *(order[level].value for level in component.order))
    bounds: tuple[int | None, ...] = values
    if not found.proven:
        bounds = (*[0] * len(out), *[None] * len(component.order))
    return Result({job.name: found.selection}, values, bounds)


def _nobody(component: Component) -> Result:
    """Return the result that serves no job and proves nothing."""
    return Result({}, (), (None,) * (len(component.serving) + len(component.order)))


def forms_of_jobs(component: Component, clock: Clock) -> dict[str, Sequence[Form]] | None:
    """Return the forms of every job; None if a job has more plans than can be listed.

    Jobs that the time does not reach have no forms.
    """
    clock.tell("combinations")
    found: dict[str, Sequence[Form]] = {}
    sources = Sources(component)
    for job in component.jobs:
        mine: list[Form] | None = []
        if separable(job, component.order):
            if not over(clock):
                mine = list(forms(job, component, sources))
        else:
            mine = whole_plans(job, component, clock)
        if mine is None:
            return None
        found[job.name] = mine
    return found


def by_columns(
    component: Component,
    found: Mapping[str, Sequence[Form]],
    clock: Clock,
    last: Mapping[str, Selection],
) -> Result:
    """Return the best result by columns: `found` are the forms of every job."""
    whole = formulation_of(component, found)
    seeds = seeds_of(whole, last)
    start = _start(whole, seeds)
    names = [level.words for level in component.serving]
    names += [level.replace("_", " ") for level in component.order]
    if clock.left == 0:
        return Result(selections(whole, start, {}), (), (None,) * len(names))
    at = len(component.serving) + _from(component, found)
    groups = groups_by_size(component)
    first = minimum(whole.instance, start, clock, names[:at], seeds, groups)
    if not first.proven or clock.left == 0:
        chosen = {column.job: column for column in first.columns}
        nothing = (None,) * (len(names) - at)
        return Result(selections(whole, chosen, {}), (), (*first.bounds, *nothing))
    days = len(component.serving) + component.order.index("days")
    second = timed_minimum(
        first.face.instance,
        timing_of(whole, first.face),
        [None if level == days else level for level in range(at, len(names))],
        names[at:],
        {column.job: column for column in first.kept},
        ties_of(whole, first.face),
        clock,
    )
    bounds = (*first.bounds, *second.bounds)
    chosen = lifted(second.columns, first.face)
    values = tuple(bound for bound in bounds if bound is not None) if second.proven else ()
    return Result(selections(whole, chosen, second.taken), values, bounds)


def _from(component: Component, found: Mapping[str, Sequence[Form]]) -> int:
    """Return the index of the first level that the timed models minimise, for the days or for kits.

    With kits it is the price at the latest: the relaxation over columns may buy a fraction of a
    kit.
    """
    late = ["days"]
    if any(form.bought for forms in found.values() for form in forms):
        late.append("price")
    return min(component.order.index(level) for level in late)


def _start(whole: Formulation, seeds: Sequence[Column]) -> dict[int, Column]:
    """Return an initial solution: the jobs' earlier selections where still feasible, or the greedy
    one.
    """
    known = narrowed(whole, greedy(whole))
    before = {**whole.left_out, **{column.job: column for column in seeds}}
    if not seeds or not feasible(whole.instance, before):
        return known
    levels = range(whole.instance.costs.shape[1])
    return min(
        (known, before),
        key=lambda some: [objective(whole.instance, some, level) for level in levels],
    )
