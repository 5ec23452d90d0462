"""Jobs of a component in one model, whatever their rules: exact, for components of some size.

Every job takes a plan of its own; only those served take from the shelf and count.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from ortools.sat.python import cp_model

from fitsolver.allotment.component import Component
from fitsolver.allotment.levels import Levels
from fitsolver.allotment.prepare import Prepared
from fitsolver.allotment.result import Result
from fitsolver.allotment.start import First
from fitsolver.base.deadline import Clock
from fitsolver.base.errors import CheckError
from fitsolver.choices.selection import Selection
from fitsolver.solving.extract import extract
from fitsolver.solving.levels import level_slot
from fitsolver.solving.problem import narrow_model
from fitsolver.solving.variables import Model, total

#: No level of one job comes to more; sums of a thousand jobs still fit the solver.
_MOST: Final = 10**12


@dataclass(slots=True)
class _Member:
    """A job in the model: is it served, what does it take, and what does it come to by level."""

    job: Prepared
    model: Model
    served: cp_model.IntVar
    taken: dict[str, cp_model.IntVar]
    costs: list[cp_model.IntVar]


def solve_joint(
    component: Component, first: First, clock: Clock, last: Mapping[str, Selection]
) -> Result:
    """Return the best result, proven as far as the clock allows.

    `first` is a result that can be had, and names the jobs that can never be served. `last` is
    what jobs took in an earlier answer: the search starts there, else from the first.
    """
    cp = cp_model.CpModel()
    members = [
        member
        for job in component.jobs
        if job.name not in first.never and clock.left != 0
        if (member := _member(cp, job, component)) is not None
    ]
    levels = len(component.serving) + len(component.order)
    if clock.left == 0:
        return Result(first.chosen, (), (None,) * levels)
    for number, count in component.contested.items():
        taken = [(1, m.taken[number]) for m in members if number in m.taken]
        cp.add(total(taken) <= count)
    for member in members:
        _hint(cp, member, last or first.chosen)
    search = Levels(cp, clock)
    for level in component.serving:
        jobs = sum(level.counts(job.entry) for job in component.jobs)
        served = [m.served for m in members if level.counts(m.job.entry)]
        search.settle(level.words, jobs - cp_model.LinearExpr.sum(served))
    for index, name in enumerate(component.order):
        costs = [(1, m.costs[index]) for m in members]
        search.settle(name.replace("_", " "), total(costs))
    solver = search.best
    if search.none:
        raise CheckError("an allotment was found that the joint model denies")
    if solver is None:
        return Result(first.chosen, (), (None,) * levels)
    return Result(
        {m.job.name: extract(m.model, solver) for m in members if solver.value(m.served)},
        search.values(),
        tuple(search.bounds),
    )


def _member(cp: cp_model.CpModel, job: Prepared, component: Component) -> _Member | None:
    """Add a job to the model; None for one that has no options or rings, so can never be served."""
    if not all(job.options):
        return None
    model = narrow_model(job.task, job.options, cp=cp)
    if model is None:
        return None
    served = cp.new_bool_var("")
    taken = {}
    for supply in model.supply():
        number = supply.sold.number
        if number in component.contested and supply.most_stock:
            taken[number] = cp.new_int_var(0, supply.most_stock, "")
            cp.add(taken[number] >= supply.stock).only_enforce_if(served)
    costs = []
    for level in component.order:
        slot = level_slot(model, level)
        counted = cp.new_int_var(0, min(slot.high, _MOST), "")
        cp.add(counted >= slot.expr).only_enforce_if(served)
        costs.append(counted)
    return _Member(job, model, served, taken, costs)


def _hint(cp: cp_model.CpModel, member: _Member, known: Mapping[str, Selection]) -> None:
    """Let the search begin from choices that are known."""
    keys = known.get(member.job.name)
    cp.add_hint(member.served, keys is not None)
    if keys is None:
        return
    for cylinder, chosen in zip(member.model.cylinders, keys.cylinders, strict=False):
        for option, x in cylinder.options:
            cp.add_hint(x, option.key == chosen.option.key)
        for groove, rings in cylinder.rings.items():
            taken = chosen.rings.get(groove)
            for ring, y in rings:
                # Rings alike in two classes have one key: the class of the piston tells.
                cp.add_hint(y, taken is not None and ring.candidate.key == taken.candidate.key)
