"""The levels that hang on what is bought, one after the other, in CP-SAT models with the days.

What the levels before leave falls apart where no row joins the jobs any more: each group is
minimised by itself.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from math import ceil
from typing import Final, NamedTuple

from ortools.sat.python import cp_model

from fitsolver.base.deadline import Clock
from fitsolver.base.errors import CheckError
from fitsolver.base.running import run
from fitsolver.mip.exact import cp_sat
from fitsolver.mip.instance import Column, Instance, Ints, Solution
from fitsolver.mip.timed_model import TimedModel, total
from fitsolver.mip.timing import Timing, binding, independent, most_wanted

#: The solver's bound is a floating-point number: below the next integer by no more than this.
_ROUNDED: Final = 1e-6
#: Rounds of cuts before the search.
_ROUNDS: Final = 20
#: A cut is left out of the relaxation after so many solves in which it does not bind, and the pool
#: of cuts is cleaned at so many: the relaxation stays small.
_INACTIVE: Final = 5
_POOL: Final = 100
#: Limit on the solver's work for ties (about seconds).
_TIES: Final = 1.0


class Ties(NamedTuple):
    """Of equally good solutions the one of least weight is wanted.

    `items`: (items) weights; `taken` (jobs, rows): of a piece that is not waited for.
    """

    items: Ints
    taken: Ints


class TimedMinimum(NamedTuple):
    """A column of every job, the pieces of rows that jobs take though they could wait, and the
    proven bound of every level (None: nothing is proven).
    """

    columns: Solution
    taken: Mapping[int, Counter[int]]
    bounds: tuple[int | None, ...]
    proven: bool


def timed_minimum(
    instance: Instance,
    timing: Timing,
    levels: Sequence[int | None],
    names: Sequence[str],
    start: Mapping[int, Column],
    ties: Ties,
    clock: Clock,
) -> TimedMinimum:
    """Return the lexicographic minimum of some levels of an instance (None: the days).

    `start` is any solution. Ends early when the clock does. Raises CheckError where the solver
    denies that there is a solution.
    """
    most = most_wanted(instance, timing)
    binds = binding(instance, most)
    columns, taken = dict(start), {job: Counter[int]() for job in start}
    bounds: list[int | None] = [0] * len(levels)
    proven = True
    for jobs in independent(most, binds):
        model = TimedModel(instance, timing, jobs, most, binds)
        model.hint({job: start[job] for job in jobs})
        search = _Search(model, clock)
        for at, (level, name) in enumerate(zip(levels, names, strict=True)):
            clock.tell(name)
            costs = total(model.days) if level is None else model.cost(instance.costs[:, level])
            bound, so_far = search.least(costs), bounds[at]
            bounds[at] = None if bound is None or so_far is None else so_far + bound
        proven &= search.open
        search.untie(ties)
        if search.best is not None:
            columns.update(model.solution(search.best))
            for each in model.taken:
                taken[each.job][each.row] += search.best.value(each.pieces)
    return TimedMinimum(columns, taken, tuple(bounds), proven)


class _Search:
    """Makes one expression after the other least; `best` has the best solution so far."""

    def __init__(self, model: TimedModel, clock: Clock) -> None:
        self.model, self.cp, self.clock = model, model.cp, clock
        self.best: cp_model.CpSolver | None = None
        self.open = True

    def least(self, costs: cp_model.LinearExpr) -> int | None:
        """Return the proven bound of an expression, and hold it; None once one is left open."""
        if not self.open or self.clock.left == 0:
            self.open = False
            return None
        if self.best is not None and self.best.value(costs) == 0:
            self.cp.add(costs <= 0)
            return 0
        status, solver = self._solved(costs, None)
        if status == cp_model.OPTIMAL:
            value = solver.value(costs)
            self.cp.add(costs <= value)
            return value
        self.open = False
        return max(0, ceil(solver.best_objective_bound - _ROUNDED))

    def untie(self, ties: Ties) -> None:
        """Take the solution of least weight, as far as some work suffices for it."""
        if not self.open or self.clock.left == 0:
            return
        model = self.model
        weights = [(int(ties.taken[each.job, each.row]), each.pieces) for each in model.taken]
        self._solved(model.cost(ties.items) + total(weights), _TIES)

    def _solved(
        self, costs: cp_model.LinearExpr, work: float | None
    ) -> tuple[cp_model.CpSolverStatus, cp_model.CpSolver]:
        self.cp.minimize(costs)
        solver = cp_sat(self.clock)
        # The first relaxation is small, and weak without all rows and several rounds of cuts.
        solver.parameters.add_lp_constraints_lazily = False
        solver.parameters.max_cut_rounds_at_level_zero = _ROUNDS
        solver.parameters.max_consecutive_inactive_count = _INACTIVE
        solver.parameters.cut_cleanup_target = _POOL
        if work is not None:
            solver.parameters.max_deterministic_time = work
        status = run(solver, self.cp, lambda: self.clock.interrupted)
        if status == cp_model.INFEASIBLE:
            raise CheckError("an allotment was found that the model of its days denies")
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            better = self.best is None or solver.value(costs) <= self.best.value(costs)
            # What ties leave unproven hangs on the solver's version: the solution before is kept.
            if better and (work is None or status == cp_model.OPTIMAL):
                self.best = solver
                self._hint(solver)
        return status, solver

    def _hint(self, solver: cp_model.CpSolver) -> None:
        self.cp.clear_hints()  # type: ignore[no-untyped-call]
        values = list(solver.response_proto.solution)
        hint = self.cp.proto.solution_hint
        hint.vars.extend(range(len(values)))
        hint.values.extend(values)
