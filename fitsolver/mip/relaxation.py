"""The linear relaxation of a set-packing problem, with rows of its basis inverse."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_array, csr_array

from fitsolver.mip.highs import LinearProgram
from fitsolver.mip.set_packing import SetPacking

#: A value is fractional that is so far from an integer.
_FRACTIONAL: Final = 1e-4
#: How many times `beyond` an artificial variable costs more than the dearest column.
_DEARLY: Final = 1000
#: So many rows of the basis inverse are looked at.
_LOOKS: Final = 150


class Relaxation:
    """The relaxation of a set-packing problem, made feasible by artificial variables.

    Each convexity row and equality row can be met by them at a cost far above `beyond`; so there
    always is an optimum, and one that uses them shows that there is no solution.
    """

    def __init__(self, problem: SetPacking, beyond: int) -> None:
        self.program, self.rows, self.columns = LinearProgram(), 0, len(problem.cost)
        self.dear = float(int(problem.cost.max()) + _DEARLY * beyond)
        self.jobs = problem.jobs
        ones = np.ones(self.jobs)
        self.program.add_rows(ones, ones)
        convexity = problem.matrix[: self.jobs, :]
        self.program.add_columns(problem.cost.astype(np.float64), csc_array(convexity))
        self._relax(np.arange(self.jobs), 1.0)
        self.add_rows(problem)

    def _relax(self, rows: NDArray[np.int64], coef: float) -> None:
        """Give rows an artificial variable each."""
        count, shape = len(rows), (self.jobs + self.rows, len(rows))
        coefs = csc_array((np.full(count, coef), (rows, np.arange(count))), shape=shape)
        self.program.add_columns(np.full(count, self.dear), coefs)

    def add_rows(self, problem: SetPacking) -> None:
        """Add the rows of a problem beyond those known."""
        known, self.rows = self.rows, len(problem.capacity)
        most, equality = problem.capacity[known:].astype(np.float64), problem.equality[known:]
        coefs = csr_array(problem.coefs[known:, :])
        self.program.add_rows(np.where(equality, most, -np.inf), most, coefs)
        equal = self.jobs + known + np.flatnonzero(equality)
        if len(equal):
            self._relax(equal, 1.0)
            self._relax(equal, -1.0)

    def solve(self, seconds: float) -> bool:
        """Solve to optimality; False where the solver gave up, or ran out of time."""
        return self.program.solve(seconds)

    @property
    def value(self) -> float:
        """The optimum."""
        return self.program.value

    def duals(self) -> NDArray[np.float64]:
        """Return (rows) the duals, as what a unit of capacity is worth."""
        return self.program.duals()[self.jobs :]

    def values(self) -> NDArray[np.float64]:
        """Return (columns) the value of each column."""
        return self.program.values()[: self.columns]

    def inverse_rows(self) -> Iterator[NDArray[np.float64]]:
        """Yield, for fractional basic columns, the row of the basis inverse (jobs + rows).

        The rows of the problem, times these, sum to the row of the simplex tableau.
        """
        basis = self.program.basis()
        columns = (basis >= 0) & (basis < self.columns)
        value = np.where(columns, self.values()[np.where(columns, basis, 0)], 0.0)
        fractional = np.flatnonzero(np.abs(value - np.rint(value)) > _FRACTIONAL)
        for at in fractional[:: max(1, len(fractional) // _LOOKS)].tolist():
            yield self.program.inverse_row(at)
