"""Column generation: the Dantzig-Wolfe master, its pricing, and rounding cuts on top.

G. B. Dantzig and P. Wolfe, "Decomposition principle for linear programs", Operations Research 8
(1960). Floating point only proposes duals and columns; every bound is recomputed in integers.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from math import inf
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_array

from fitsolver.base.deadline import Clock
from fitsolver.mip.cuts import ModeRow, aggregated, separated, with_cuts
from fitsolver.mip.dual_bound import DualBound, best_dual_bound, cheapest_columns, pricing
from fitsolver.mip.highs import LinearProgram
from fitsolver.mip.instance import (
    Column,
    Instance,
    Solution,
    coefficients,
    column_cost,
    objective,
)

_MOST_ROUNDS: Final = 500
#: Relative tolerance of an objective value in floating point.
_NEAR: Final = 1e-7
#: Thresholds: a weight below the first counts as 0, a weight above the second as 1.
_NOTHING: Final = 1e-7
_WHOLE: Final = 0.999
#: Separation stops after this many rounds of cuts that do not raise the bound.
_STALLED: Final = 5
#: Weight of the best duals so far in the duals that are priced: early duals oscillate (dual
#: smoothing, after P. Wentges 1997).
_SMOOTHING: Final = 0.5


class RestrictedMaster:
    """The restricted master: weights of known columns, summing to 1 for each job, within the rows,
    at the least cost.
    """

    def __init__(self, instance: Instance, level: int) -> None:
        self.instance, self.level, self.program = instance, level, LinearProgram()
        ones, most = np.ones(instance.jobs), instance.capacity.astype(np.float64)
        low = np.concatenate([ones, np.where(instance.equality, most, -inf)])
        self.program.add_rows(low, np.concatenate([ones, most]))
        #: Columns, in the order of the linear program's variables.
        self.columns: dict[Column, None] = {}
        self.value = 0.0

    def add(self, columns: Iterable[Column]) -> int:
        """Add columns; returns how many are new."""
        new = [column for column in dict.fromkeys(columns) if column not in self.columns]
        entries = [
            (row, at, coef)
            for at, column in enumerate(new)
            for row, coef in self._coefficients(column).items()
        ]
        if new:
            row, at, coef = np.array(entries, dtype=np.int64).T
            shape = self.instance.jobs + len(self.instance.capacity), len(new)
            costs = [column_cost(self.instance, column, self.level) for column in new]
            self.program.add_columns(
                np.array(costs, dtype=np.float64), csc_array((coef, (row, at)), shape=shape)
            )
            self.columns.update(dict.fromkeys(new))
        return len(new)

    def _coefficients(self, column: Column) -> dict[int, int]:
        """Return the coefficients of a column in the program: 1 in the convexity row of its job."""
        jobs = self.instance.jobs
        own = {jobs + row: coef for row, coef in coefficients(self.instance, column).items()}
        return {column.job: 1, **own}

    def solve(self) -> bool:
        """Solve to optimality and keep the value; False where the solver gave up."""
        if not self.program.solve():
            return False
        self.value = self.program.value
        return True

    def duals(self) -> NDArray[np.float64]:
        """Return (rows) the duals, values of a unit of capacity; >= 0 on inequality rows."""
        found = self.program.duals()[self.instance.jobs :]
        return np.where(self.instance.equality, found, np.maximum(found, 0.0))

    def weights(self) -> dict[Column, float]:
        """Return the weights above 0 of the last solution."""
        found = zip(self.columns, self.program.values().tolist(), strict=True)
        return {column: weight for column, weight in found if weight > _NOTHING}

    def integral(self) -> Solution | None:
        """Return the last solution where it is integral, else None."""
        found = {c.job: c for c, weight in self.weights().items() if weight > _WHOLE}
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
    """Return the bound of column generation; rounding cuts are added while any is violated.

    `seeds` are the initial columns; cuts are separated from the row groups in `groups`.
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
