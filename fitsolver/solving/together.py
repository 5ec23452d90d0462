"""Several jobs in one model, under any rules.

Every job takes a plan of its own; only those served take from the shelf and count.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

from ortools.sat.python import cp_model

from fitsolver.base.deadline import Clock
from fitsolver.base.errors import CheckError
from fitsolver.base.weights import weight
from fitsolver.choices.selection import Selection
from fitsolver.choices.types import Option
from fitsolver.records.base import Level
from fitsolver.solving.extract import extract
from fitsolver.solving.levels import level_slot
from fitsolver.solving.problem import Problem, narrow_model
from fitsolver.solving.settling import Levels, timed_solver
from fitsolver.solving.slots import Slot
from fitsolver.solving.terms import total
from fitsolver.solving.variables import Model

#: Upper bound on any level of one job; sums of a thousand jobs still fit the solver.
_MOST: Final = 10**12
#: The largest sum in the solver, the most bits of a weight, and the seconds for breaking ties.
_ROOM: Final = 2**60
_BITS: Final = 24
_TIES: Final = 3.0


class Candidate(NamedTuple):
    """A job that may be served, with the options of every cylinder."""

    name: str
    task: Problem
    options: Sequence[Sequence[Option]]


class ServingLevel(NamedTuple):
    """A level that counts jobs not served, of those named."""

    words: str
    jobs: frozenset[str]


class Served(NamedTuple):
    """The selection of every job served, and the value and proven bound of every level."""

    chosen: dict[str, Selection]
    values: tuple[int, ...]
    bounds: tuple[int | None, ...]


@dataclass(slots=True)
class _Member:
    """A job in the model: its served literal, its parts taken and its value by level."""

    name: str
    model: Model
    served: cp_model.IntVar
    taken: dict[str, cp_model.IntVar]
    costs: list[cp_model.IntVar]


def serve_together(
    jobs: Sequence[Candidate],
    shelf: Mapping[str, int],
    serving: Sequence[ServingLevel],
    order: Sequence[Level],
    known: Mapping[str, Selection],
    clock: Clock,
) -> Served | None:
    """Serve the most jobs that the shelf permits, at the best levels; None: the clock ended first.

    `shelf` counts the contested numbers. The levels of `serving` come before those of `order`,
    which are summed over the jobs. The search starts from the `known` feasible solution; raises
    CheckError where the model is infeasible.
    """
    cp = cp_model.CpModel()
    members = [
        member
        for job in jobs
        if clock.left != 0 and (member := _member(cp, job, shelf, order)) is not None
    ]
    if clock.left == 0:
        return None
    for number, count in shelf.items():
        taken = [(1, m.taken[number]) for m in members if number in m.taken]
        cp.add(total(taken) <= count)
    for member in members:
        _hint(cp, member, known)
    search = Levels(cp, clock)
    search.settle_all(
        [level.words for level in serving], [_left_out(level, members) for level in serving]
    )
    for index, name in enumerate(order):
        costs = [(1, m.costs[index]) for m in members]
        search.settle(name.replace("_", " "), total(costs))
    if search.none:
        raise CheckError("an allotment was found that the joint model denies")
    if search.best is None:
        return None
    values, bounds = search.values(), tuple(search.bounds)
    if values == bounds:
        _untie(search, members, order)
    solver = search.best
    chosen = {m.name: extract(m.model, solver) for m in members if solver.value(m.served)}
    return Served(chosen, values, bounds)


def _left_out(level: ServingLevel, members: Sequence[_Member]) -> Slot:
    served = [member.served for member in members if member.name in level.jobs]
    count = len(level.jobs)
    return Slot(count - cp_model.LinearExpr.sum(served), 0, count)


def _untie(search: Levels, members: Sequence[_Member], order: Sequence[Level]) -> None:
    """Break ties between equally good allotments, independently of the search order.

    The least sum of weights wins; the weights depend only on jobs, levels and numbers (isolation
    lemma, Mulmuley, Vazirani and Vazirani 1987).
    """
    weighed: list[tuple[str, cp_model.IntVar]] = []
    for member in members:
        weighed.append((f"{member.name}\nserved", member.served))
        named = zip(order, member.costs, strict=True)
        weighed += [(f"{member.name}\n{level}", cost) for level, cost in named]
        weighed += [(f"{member.name}\n{n}", taken) for n, taken in sorted(member.taken.items())]
    most = sum(list(variable.proto.domain)[-1] for _, variable in weighed)
    bits = min(_BITS, (_ROOM // max(most, 1)).bit_length() - 1)
    if bits < 1:
        return
    clock = search.clock
    limit = clock.limit
    clock.limit = clock.gone + clock.at_most(_TIES)
    search.least(total([(weight(name, bits), v) for name, v in weighed]), timed_solver(clock))
    if not clock.interrupted:
        clock.limit = limit


def _member(
    cp: cp_model.CpModel, job: Candidate, shelf: Mapping[str, int], order: Sequence[Level]
) -> _Member | None:
    """Add a job to the model; None for one that has no options or rings, so can never be served."""
    model = narrow_model(job.task, job.options, cp=cp) if all(job.options) else None
    if model is None:
        return None
    served = cp.new_bool_var("")
    taken = {}
    for supply in model.supply():
        number = supply.sold.number
        if number in shelf and supply.most_stock:
            taken[number] = cp.new_int_var(0, supply.most_stock, "")
            cp.add(taken[number] >= supply.stock).only_enforce_if(served)
    costs = []
    for level in order:
        slot = level_slot(model, level)
        counted = cp.new_int_var(0, min(slot.high, _MOST), "")
        cp.add(counted >= slot.expr).only_enforce_if(served)
        costs.append(counted)
    return _Member(job.name, model, served, taken, costs)


def _hint(cp: cp_model.CpModel, member: _Member, known: Mapping[str, Selection]) -> None:
    """Hint the known choices to the search."""
    keys = known.get(member.name)
    cp.add_hint(member.served, keys is not None)
    if keys is None:
        return
    for cylinder, chosen in zip(member.model.cylinders, keys.cylinders, strict=False):
        for option, x in cylinder.options:
            cp.add_hint(x, option.key == chosen.option.key)
        for groove, rings in cylinder.rings.items():
            taken = chosen.rings.get(groove)
            for ring, y in rings:
                # Equal rings in two classes share a key: the piston's class distinguishes them.
                cp.add_hint(y, taken is not None and ring.candidate.key == taken.candidate.key)
