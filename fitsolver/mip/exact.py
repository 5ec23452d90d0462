"""CP-SAT closes the gap that cutting planes leave: on the flow model, and on enumerated columns.

Both models demand a solution strictly better than the incumbent; their infeasibility is the proof.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from math import ceil, inf
from typing import Final, NamedTuple

import numpy as np
from ortools.sat.python import cp_model
from scipy.sparse import coo_array, csr_array, vstack

from fitsolver.base.deadline import Clock
from fitsolver.base.running import one_worker, run
from fitsolver.mip.flow_model import FlowModel
from fitsolver.mip.highs import SparseModel, binary_solution
from fitsolver.mip.instance import (
    Column,
    Instance,
    Ints,
    Solution,
    activity,
    coefficients,
    objective,
    satisfied,
    step_of,
)
from fitsolver.mip.set_packing import SetPacking

#: Above this number of columns, CP-SAT runs several strategies in parallel: which one proves it
#: first is unknown beforehand.
_MANY: Final = 2_000
_WORKERS: Final = 8
#: Seconds for a search that need not end.
_LOOK: Final = 10.0


def cp_sat(clock: Clock) -> cp_model.CpSolver:
    """Return a solver of one worker that stops when the clock does."""
    solver = one_worker(cp_model.CpSolver(), clock.left)
    solver.parameters.linearization_level = 2
    return solver


class Closed(NamedTuple):
    """`solution` is better than the incumbent (None: none found); `bound` is the proven lower
    bound.
    """

    solution: Solution | None
    bound: int


def close_flow(
    flow: FlowModel, value: int, bound: int, clock: Clock, *, work: float | None = None
) -> Closed:
    """Return the best solution of the flow model below `value`, and the bound.

    The `bound` given must be a proven lower bound. `work` limits the solver's deterministic time
    (about seconds).
    """
    model, cp = flow.model, cp_model.CpModel()
    ones = [cp.new_bool_var("") for _ in model.cost]
    rows: dict[int, list[tuple[int, int]]] = defaultdict(list)
    entries = (model.at_row.tolist(), model.at_column.tolist(), model.value.tolist())
    for row, column, coef in zip(*entries, strict=True):
        rows[row].append((column, coef))
    for row, terms in rows.items():
        total = cp_model.LinearExpr.weighted_sum([ones[c] for c, _ in terms], [m for _, m in terms])
        cp.add(total <= int(model.high[row]))
        if model.low[row] > -inf:
            cp.add(total >= int(model.low[row]))
    step = step_of(model.cost)
    cost = cp_model.LinearExpr.weighted_sum(ones, (model.cost // step).tolist())
    cp.add(cost >= -(-bound // step))
    cp.add(cost <= (value - 1) // step)
    cp.minimize(cost)
    solver = cp_sat(clock)
    solver.parameters.symmetry_level = 0
    solver.parameters.cp_model_probing_level = 0
    if work is not None:
        solver.parameters.max_deterministic_time = work
    status = run(solver, cp, lambda: clock.interrupted)
    if status == cp_model.INFEASIBLE:
        return Closed(None, value)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Closed(None, bound)
    chosen = np.array([solver.value(x) for x in ones], dtype=np.bool_)
    proven = max(bound, ceil(solver.best_objective_bound - 1e-6) * step)
    return Closed(flow.solution(chosen), proven)


def close_columns(
    problem: SetPacking, value: int, bound: int, clock: Clock, patience: float | None = None
) -> Closed:
    """Return the best solution of enumerated columns below `value`, and the bound.

    The solution may violate rows that are not distinguished. `patience` is a time limit in seconds,
    beside the clock's.
    """
    if problem.lacking:
        return Closed(None, value)
    model = _ColumnModel(problem)
    model.cp.add(model.cost >= bound)
    model.cp.add(model.cost <= value - 1)
    model.cp.minimize(model.cost)
    solver = cp_sat(clock)
    if patience is not None:
        solver.parameters.max_time_in_seconds = clock.at_most(patience)
    if len(problem.columns) > _MANY:
        solver.parameters.num_workers = _WORKERS
    status = run(solver, model.cp, lambda: clock.interrupted)
    if status == cp_model.INFEASIBLE:
        return Closed(None, value)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Closed(None, bound)
    return Closed(model.solution(solver), max(bound, ceil(solver.best_objective_bound - 1e-6)))


class _ColumnModel:
    """A binary variable an enumerated column, one a job, within the rows."""

    def __init__(self, problem: SetPacking) -> None:
        self.problem, self.cp = problem, cp_model.CpModel()
        self.ones = [self.cp.new_bool_var("") for _ in problem.columns]
        of_job: dict[int, list[cp_model.IntVar]] = defaultdict(list)
        for job, variable in zip(problem.job.tolist(), self.ones, strict=True):
            of_job[job].append(variable)
        for variables in of_job.values():
            self.cp.add_exactly_one(variables)
        self._add_rows()
        self.cost = cp_model.LinearExpr.weighted_sum(self.ones, problem.cost.tolist())

    def _add_rows(self) -> None:
        coefs = csr_array(self.problem.coefs)
        limits = zip(self.problem.capacity.tolist(), self.problem.equality.tolist(), strict=True)
        for row, (most, equal) in enumerate(limits):
            begin, end = int(coefs.indptr[row]), int(coefs.indptr[row + 1])
            some = coefs.data[begin:end].tolist()
            total = cp_model.LinearExpr.weighted_sum(
                [self.ones[at] for at in coefs.indices[begin:end].tolist()], some
            )
            if equal:
                self.cp.add(total == most)
            elif sum(some) > most:
                self.cp.add(total <= most)

    def solution(self, solver: cp_model.CpSolver) -> Solution:
        return {
            column.job: column
            for (column, _, _), v in zip(self.problem.columns, self.ones, strict=True)
            if solver.value(v)
        }


def violated_rows(instance: Instance, solution: Mapping[int, Column]) -> set[int]:
    """Return the rows whose activity is above their capacity."""
    return set(np.flatnonzero(activity(instance, solution.values()) > instance.capacity).tolist())


def incumbent_among(
    instance: Instance, problem: SetPacking, most: int, level: int, clock: Clock
) -> Solution | None:
    """Return a good solution among enumerated columns within an objective limit, by HiGHS; None
    without one.
    """
    ones = binary_solution(_sparse(problem, most, problem.cost), _LOOK, clock)
    if ones is None:
        return None
    chosen = [problem.columns[at][0] for at in np.flatnonzero(ones).tolist()]
    found = {column.job: column for column in chosen}
    one_each = len(chosen) == len(found) == instance.jobs
    if not one_each or objective(instance, found, level) > most:
        return None
    return found if satisfied(instance, found)[problem.rows].all() else None


def nearest(
    instance: Instance,
    problem: SetPacking,
    near: Mapping[int, Column],
    found: Mapping[int, Column],
    level: int,
    clock: Clock,
) -> Solution:
    """Return the columns of `near` whose coefficients occur in a solution as good as `found`.

    A proximity search finds the solution that keeps most of these columns. Only coefficients in the
    distinguished rows count.
    """
    rows = set(problem.rows)
    wanted = {
        job: {r: coef for r, coef in coefficients(instance, c).items() if r in rows}
        for job, c in near.items()
    }
    same = np.array([dict(coefs) == wanted.get(c.job) for c, _, coefs in problem.columns])
    most = objective(instance, found, level)
    ones = binary_solution(_sparse(problem, most, -same.astype(np.int64)), _LOOK, clock)
    if ones is None:
        held = {(column.mode, column.items) for column in found.values()}
        ones = np.array([(c.mode, c.items) in held for c, _, _ in problem.columns])
    jobs = {problem.columns[at][0].job for at in np.flatnonzero(ones & same).tolist()}
    return {job: column for job, column in near.items() if job in jobs}


def _sparse(problem: SetPacking, most: int, costs: Ints) -> SparseModel:
    """Return the model of enumerated columns with new costs and an objective of `most` at most.

    Cuts are left out: HiGHS overruns its time limit on long rows of large figures.
    """
    problem = problem.without_cuts
    whole = coo_array(vstack([problem.matrix, csr_array(problem.cost[np.newaxis, :])]))
    one, limits = np.ones(problem.jobs), problem.capacity.astype(np.float64)
    return SparseModel(
        costs,
        np.ones(len(problem.columns), dtype=np.int64),
        whole.coords[0],
        whole.coords[1],
        whole.data,
        np.concatenate([one, np.where(problem.equality, limits, -np.inf), [-np.inf]]),
        np.concatenate([one, limits, [float(most)]]),
    )
