"""The linear relaxation of a set-packing problem, with rows of its simplex tableau."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray
from ortools.linear_solver import pywraplp
from scipy.sparse import csc_array, hstack
from scipy.sparse.linalg import splu

from fitsolver.mip.set_packing import SetPacking

#: A value is fractional that is so far from an integer.
_FRACTIONAL: Final = 1e-4
#: How many times `beyond` an artificial variable costs more than the dearest column.
_DEARLY: Final = 1000
#: So many tableau rows are looked at.
_LOOKS: Final = 150


class Relaxation:
    """The relaxation of a set-packing problem, made feasible by artificial variables.

    Each convexity row and equality row can be met by them at a cost far above `beyond`; so there
    always is an optimum, and one that uses them shows that there is no solution.

    Floating point: it proposes duals and cuts, and proves nothing.
    """

    def __init__(self, problem: SetPacking, beyond: int) -> None:
        self.problem = problem
        self.solver = pywraplp.Solver.CreateSolver("GLOP")
        self.objective = self.solver.Objective()
        self.objective.SetMinimization()
        self.convexity = [self.solver.Constraint(1.0, 1.0) for _ in range(problem.jobs)]
        self.rows: list[pywraplp.Constraint] = []
        self.scale: list[float] = []
        self.columns: list[pywraplp.Variable] = []
        for job, cost in zip(problem.job.tolist(), problem.cost.tolist(), strict=True):
            self.columns.append(self._variable(self.convexity[job], cost))
        self.dear = int(problem.cost.max()) + _DEARLY * beyond
        #: The artificial variables, each with its row.
        self.artificial: list[tuple[int, pywraplp.Variable]] = []
        for at, row in enumerate(self.convexity):
            self._relax(at, row, 1.0)
        self.add_rows(problem)

    def _relax(self, at: int, row: pywraplp.Constraint, coef: float) -> None:
        """Give a row an artificial variable."""
        self.artificial.append((at, self._variable(row, self.dear, coef)))

    def _variable(
        self, row: pywraplp.Constraint, cost: int, coef: float = 1.0
    ) -> pywraplp.Variable:
        variable = self.solver.NumVar(0.0, self.solver.infinity(), "")
        self.objective.SetCoefficient(variable, float(cost))
        row.SetCoefficient(variable, coef)
        return variable

    def add_rows(self, problem: SetPacking) -> None:
        """Add the rows of a problem beyond those known."""
        self.problem, known = problem, len(self.rows)
        coefs = problem.coefs
        for row in range(known, len(problem.capacity)):
            begin, end = int(coefs.indptr[row]), int(coefs.indptr[row + 1])
            columns, values = coefs.indices[begin:end].tolist(), coefs.data[begin:end].tolist()
            scale = float(max(values, default=1))  # no figures above 1: floating point likes that
            most = float(problem.capacity[row]) / scale
            equal = bool(problem.equality[row])
            added = self.solver.Constraint(most if equal else -self.solver.infinity(), most)
            self.rows.append(added)
            if equal:
                self._relax(problem.jobs + row, added, 1.0)
                self._relax(problem.jobs + row, added, -1.0)
            self.scale.append(scale)
            for column, value in zip(columns, values, strict=True):
                added.SetCoefficient(self.columns[column], float(value) / scale)

    def solve(self, seconds: float) -> bool:
        """Solve to optimality; False where the solver gave up, or ran out of time."""
        self.solver.SetTimeLimit(max(1, int(1000 * seconds)))
        return bool(self.solver.Solve() == pywraplp.Solver.OPTIMAL)

    @property
    def value(self) -> float:
        """The optimum."""
        return float(self.objective.Value())

    def duals(self) -> NDArray[np.float64]:
        """Return (rows) the duals, as what a unit of capacity is worth."""
        found = np.array([-row.dual_value() for row in self.rows], dtype=np.float64)
        unscaled: NDArray[np.float64] = found / np.array(self.scale)
        return unscaled

    def values(self) -> NDArray[np.float64]:
        """Return (columns) the value of each column."""
        return np.array([column.solution_value() for column in self.columns], dtype=np.float64)

    def tableau_rows(self) -> Iterator[NDArray[np.float64]]:
        """Yield, for fractional basic columns, the row of the basis inverse (jobs + rows).

        The rows of the problem, times these, sum to the tableau row of that column.
        """
        columns = np.flatnonzero([_basic(column) for column in self.columns])
        units = [at for at, variable in self.artificial if _basic(variable)]
        units += [at for at, row in enumerate((*self.convexity, *self.rows)) if _basic(row)]
        rows = len(self.convexity) + len(self.rows)
        basis = hstack([self.problem.matrix[:, columns], _unit_columns(rows, units)])
        if basis.shape != (rows, rows):
            return
        factors = splu(csc_array(basis).astype(np.float64))
        value = self.values()[columns]
        fractional = np.flatnonzero(np.abs(value - np.rint(value)) > _FRACTIONAL)
        for index in fractional[:: max(1, len(fractional) // _LOOKS)].tolist():
            unit = np.zeros(rows)
            unit[index] = 1.0
            yield factors.solve(unit, trans="T")


def _unit_columns(rows: int, at: Sequence[int]) -> csc_array:
    return csc_array((np.ones(len(at)), (at, np.arange(len(at)))), shape=(rows, len(at)))


def _basic(of: pywraplp.Variable | pywraplp.Constraint) -> bool:
    return bool(of.basis_status() == pywraplp.Solver.BASIC)
