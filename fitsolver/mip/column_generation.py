"""Column generation: the Dantzig-Wolfe master, its pricing, and rounding cuts on top.

G. B. Dantzig and P. Wolfe, "Decomposition principle for linear programs", Operations Research 8
(1960). Floating point only proposes duals and columns; what they prove is recomputed in integers.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from math import inf
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from ortools.linear_solver import pywraplp

from fitsolver.base.deadline import Clock
from fitsolver.mip.dual_bound import DualBound, best_dual_bound, cheapest_columns, pricing
from fitsolver.mip.instance import (
    Column,
    Instance,
    Solution,
    coefficients,
    column_cost,
    objective,
)
from fitsolver.mip.rounding_cuts import ModeRow, aggregated, separated, with_cuts

_MOST_ROUNDS: Final = 500
#: Relative tolerance of an objective value in floating point.
_NEAR: Final = 1e-7
#: A weight that is 0 but for rounding; one that is 1.
_NOTHING: Final = 1e-7
_WHOLE: Final = 0.999
#: So many rounds of cuts may leave the bound where it is.
_STALLED: Final = 5
#: Weight of the best duals so far in those that are priced (dual smoothing, after P. Wentges 1997):
#: duals of early rounds leap about.
_SMOOTHING: Final = 0.5


class RestrictedMaster:
    """The restricted master: weights of known columns, summing to 1 for each job, within the rows,
    at the least cost.
    """

    def __init__(self, instance: Instance, level: int) -> None:
        self.instance, self.level = instance, level
        self.solver = pywraplp.Solver.CreateSolver("GLOP")
        self.convexity = [self.solver.Constraint(1.0, 1.0) for _ in range(instance.jobs)]
        limits = zip(instance.capacity.tolist(), instance.equality.tolist(), strict=True)
        self.rows = [
            self.solver.Constraint(float(most) if equal else -self.solver.infinity(), float(most))
            for most, equal in limits
        ]
        self.objective = self.solver.Objective()
        self.objective.SetMinimization()
        self.columns: dict[Column, pywraplp.Variable] = {}
        self.value = 0.0

    def add(self, columns: Iterable[Column]) -> int:
        """Add columns; returns how many are new."""
        before = len(self.columns)
        for column in columns:
            if column in self.columns:
                continue
            weight = self.solver.NumVar(0.0, self.solver.infinity(), "")
            self.columns[column] = weight
            self.objective.SetCoefficient(
                weight, float(column_cost(self.instance, column, self.level))
            )
            self.convexity[column.job].SetCoefficient(weight, 1.0)
            for row, coef in coefficients(self.instance, column).items():
                self.rows[row].SetCoefficient(weight, float(coef))
        return len(self.columns) - before

    def solve(self) -> bool:
        """Solve to optimality and keep the value; False where the solver gave up."""
        if self.solver.Solve() != pywraplp.Solver.OPTIMAL:
            return False
        self.value = float(self.objective.Value())
        return True

    def duals(self) -> NDArray[np.float64]:
        """Return (rows) the duals, as what a unit of capacity is worth; inequality rows: >= 0."""
        found = np.array([-row.dual_value() for row in self.rows], dtype=np.float64)
        return np.where(self.instance.equality, found, np.maximum(found, 0.0))

    def weights(self) -> dict[Column, float]:
        """Return the weights above 0 of the last solution."""
        found = {c: float(weight.solution_value()) for c, weight in self.columns.items()}
        return {column: weight for column, weight in found.items() if weight > _NOTHING}

    def integral(self) -> Solution | None:
        """Return the last solution where it is integral, else None."""
        found: Solution = {}
        for column, weight in self.columns.items():
            if weight.solution_value() > _WHOLE:
                found[column.job] = column
        return found if len(found) == self.instance.jobs else None


class Relaxed(NamedTuple):
    """The best incumbent on the way, the best bound (with its cuts), and the last weights."""

    incumbent: Solution
    dual: DualBound
    weights: dict[Column, float]

    @property
    def integral(self) -> Solution:
        """The columns of weight 1: a partial solution."""
        return {c.job: c for c, weight in self.weights.items() if weight > _WHOLE}


def relaxed(
    instance: Instance,
    level: int,
    incumbent: Solution,
    seeds: Collection[Column],
    groups: Sequence[Sequence[int]],
    clock: Clock,
) -> Relaxed:
    """Return the bound of column generation, with rounding cuts as long as any is violated.

    `seeds` are columns to start with, `groups` the groups of rows that cuts are made of.
    """
    known = dict.fromkeys(seeds)
    cuts: list[ModeRow] = []
    rows: list[ModeRow] | None = None
    best: DualBound | None = None
    weights: dict[Column, float] = {}
    reached, stalled = -inf, 0
    while stalled < _STALLED:
        wider = with_cuts(instance, cuts)
        master = RestrictedMaster(wider, level)
        master.add([*incumbent.values(), *known])
        value = objective(instance, incumbent, level)
        duals, better = _generate(wider, level, master, value, clock)
        incumbent = better or incumbent
        dual = best_dual_bound(wider, level, duals)
        if best is None or dual.bound >= best.bound:
            best = dual
        closed = best.bound == objective(instance, incumbent, level)
        if clock.left == 0 or closed or not master.solve():
            break
        weights = master.weights()
        known = dict.fromkeys(master.columns)
        rows = aggregated(instance, groups) if rows is None else rows
        violated = separated(instance, rows, weights)
        if not violated:
            break
        if master.value > reached + _NEAR * abs(reached):
            reached, stalled = master.value, 0
            binding = duals[len(instance.capacity) :] > 0
            cuts = [cut for cut, binds in zip(cuts, binding, strict=True) if binds]
        else:
            stalled += 1
        cuts = cuts + violated
    assert best is not None
    return Relaxed(incumbent, best, weights)


def _generate(
    instance: Instance, level: int, master: RestrictedMaster, value: int, clock: Clock
) -> tuple[NDArray[np.float64], Solution | None]:
    """Return the duals of the best bound found, and the best integral solution below `value`."""
    costs = instance.costs[:, level].astype(np.float64)
    best, reached = np.zeros(len(instance.capacity)), -np.inf
    better: Solution | None = None
    for _ in range(_MOST_ROUNDS):
        if clock.left == 0 or not master.solve():
            break
        found = master.integral()
        if found is not None and objective(instance, found, level) < value:
            better, value = found, objective(instance, found, level)
        duals = master.duals()
        smoothing = _SMOOTHING if np.isfinite(reached) else 0.0
        added = 0
        for tried in (smoothing * best + (1 - smoothing) * duals, duals):
            priced = pricing(instance, costs, tried)
            bound = float(priced.job.sum() - tried @ instance.capacity)
            if bound > reached:
                best, reached = tried, bound
            added = master.add(cheapest_columns(priced))
            if added:
                break
        near = _NEAR * max(1.0, abs(master.value))
        if not added or reached >= value - near or master.value - reached <= near:
            break
    return best, better
