"""HiGHS: linear programs that grow, and a quick search for integer solutions.

HiGHS works in floating point: it proposes solutions and duals, and proves nothing.
"""

from __future__ import annotations

from math import inf
from typing import Any, Final, NamedTuple

import highspy
import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_array, csr_array

from fitsolver.base.deadline import Clock
from fitsolver.mip.instance import Flags, Ints, step_of

#: Above this number of variables, HiGHS overruns its time limit.
_MOST_COLUMNS: Final = 60_000

Floats = NDArray[np.float64]


class _Silent(highspy.Highs):
    """One thread, and no output: enabling callbacks prints a banner."""

    def enableCallbacks(self) -> None:  # noqa: N802 (the library's name)
        self.silent()
        self.setOptionValue("threads", 1)
        super().enableCallbacks()  # type: ignore[no-untyped-call]


def _silent() -> Any:  # its types leave out the basis
    return _Silent()  # type: ignore[no-untyped-call]


class LinearProgram:
    """min c x, low <= A x <= high, x >= 0. It grows by rows and by columns, and is solved again
    from the last basis.
    """

    def __init__(self) -> None:
        self.highs = _silent()

    def add_rows(self, low: Floats, high: Floats, coefs: csr_array | None = None) -> None:
        """Add rows; `coefs` (rows, columns so far), 0 by default."""
        if coefs is None:
            coefs = csr_array((len(low), self.highs.getNumCol()))
        self.highs.addRows(len(low), low, high, coefs.nnz, *_compressed(coefs))

    def add_columns(self, cost: Floats, coefs: csc_array) -> None:
        """Add columns of 0 or more; `coefs` (rows so far, columns)."""
        low, high = np.zeros(len(cost)), np.full(len(cost), inf)
        self.highs.addCols(len(cost), cost, low, high, coefs.nnz, *_compressed(coefs))

    def solve(self, seconds: float = inf) -> bool:
        """Solve to optimality; False where HiGHS gave up, or ran out of time."""
        self.highs.setOptionValue("time_limit", self.highs.getRunTime() + seconds)
        self.highs.run()
        return bool(self.highs.getModelStatus() == highspy.HighsModelStatus.kOptimal)

    @property
    def value(self) -> float:
        """The optimum."""
        return float(self.highs.getInfo().objective_function_value)

    def values(self) -> Floats:
        """Return (columns) the values."""
        return np.array(self.highs.getSolution().col_value, dtype=np.float64)

    def duals(self) -> Floats:
        """Return (rows) the duals: the value of a unit of the row's upper limit."""
        return -np.array(self.highs.getSolution().row_dual, dtype=np.float64)

    def basis(self) -> Ints:
        """Return (rows) the basic variables: numbers of columns; below 0: slacks of rows."""
        return np.array(self.highs.getBasicVariables()[1], dtype=np.int64)

    def inverse_row(self, at: int) -> Floats:
        """Return (rows) the row of the basis inverse that belongs to a place in the basis."""
        return np.array(self.highs.getBasisInverseRow(at)[1], dtype=np.float64)


class SparseModel(NamedTuple):
    """Binary variables (`integer` 0: integral by themselves) with costs; the entries of the rows,
    and their least and largest activity.
    """

    cost: Ints
    integer: Ints
    at_row: Ints
    at_column: Ints
    value: Ints
    low: Floats
    high: Floats


def binary_solution(model: SparseModel, seconds: float, clock: Clock) -> Flags | None:
    """Return the variables at 1 in the best solution found in the time; None without one."""
    if len(model.cost) > _MOST_COLUMNS:
        return None
    highs, count = _silent(), len(model.cost)
    shape = len(model.low), count
    coefs = csc_array((model.value, (model.at_row, model.at_column)), shape=shape)
    cost = (model.cost // step_of(model.cost)).astype(np.float64)
    highs.addRows(len(model.low), model.low, model.high, 0, *_compressed(csr_array((shape[0], 0))))
    highs.addCols(count, cost, np.zeros(count), np.ones(count), coefs.nnz, *_compressed(coefs))
    highs.changeColsIntegrality(count, np.arange(count), model.integer.astype(np.uint8))
    highs.setOptionValue("time_limit", clock.at_most(seconds))
    highs.setOptionValue("mip_rel_gap", 0.0)

    def look(event: Any) -> None:  # signals are heard where Python runs, as it does here
        if clock.interrupted and event.data_in is not None:
            event.data_in.user_interrupt = True

    highs.cbMipInterrupt += look
    highs.cbSimplexInterrupt += look
    highs.run()
    found = highs.getInfo().primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    return np.array(highs.getSolution().col_value) > 0.5 if found else None


def _compressed(coefs: csr_array | csc_array) -> tuple[Ints, Ints, Floats]:
    """Return where each row (column) begins, the indices, and the figures."""
    return coefs.indptr[:-1], coefs.indices, coefs.data.astype(np.float64)
