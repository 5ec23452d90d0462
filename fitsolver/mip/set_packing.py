"""A set-packing problem over enumerated columns, and its linear relaxation.

min sum c[k] x[k],  sum of x[k] over the columns of each job = 1,  A x <= b (= in equality rows),
x binary.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_array, csr_array, vstack

from fitsolver.mip.enumeration import Enumerated
from fitsolver.mip.highs import LinearProgram
from fitsolver.mip.instance import Flags, Instance, Ints, step_of

#: Distance from the nearest integer above which a value is fractional.
_FRACTIONAL: Final = 1e-4
#: How many times `beyond` an artificial variable costs more than the dearest column.
_DEARLY: Final = 1000
#: Number of rows of the basis inverse that are tried.
_LOOKS: Final = 150


@dataclass(frozen=True, slots=True)
class SetPacking:
    """`job`, `cost` (columns); `coefs` (rows, columns), `capacity`, `equality` (rows).

    `columns` are the enumerated columns. The first rows are the instance's distinguished rows
    (`rows`: their numbers), divided by the greatest common divisor of their coefficients (`units`);
    the rest are cuts.
    """

    jobs: int
    columns: Sequence[Enumerated]
    rows: Sequence[int]
    units: Ints
    job: Ints
    cost: Ints
    coefs: Any
    capacity: Ints
    equality: Flags

    @property
    def step(self) -> int:
        """The step: every objective value is a multiple of it."""
        return step_of(self.cost)

    @property
    def lacking(self) -> bool:
        """Tell whether a job has no column at all."""
        return len(np.unique(self.job)) < self.jobs

    @property
    def without_cuts(self) -> SetPacking:
        """The problem with the instance's own rows alone."""
        rows = len(self.rows)
        return replace(
            self,
            coefs=self.coefs[:rows, :],
            capacity=self.capacity[:rows],
            equality=self.equality[:rows],
        )

    @property
    def matrix(self) -> csc_array:
        """Return (jobs + rows, columns): the convexity row of each job, then the rows."""
        columns = len(self.job)
        ones = np.ones(columns, dtype=np.int64)
        convexity = csc_array((ones, (self.job, np.arange(columns))), shape=(self.jobs, columns))
        return csc_array(vstack([convexity, self.coefs]))

    def least_of_jobs(self, figures: Ints) -> Ints:
        """Return (jobs) the least of a figure (columns) over the columns of each job."""
        least = np.full(self.jobs, np.iinfo(np.int64).max)
        np.minimum.at(least, self.job, figures)
        return least

    def only(self, kept: Flags) -> SetPacking:
        """Return the problem with some of its columns."""
        at = np.flatnonzero(kept)
        return replace(
            self,
            columns=[self.columns[index] for index in at.tolist()],
            job=self.job[at],
            cost=self.cost[at],
            coefs=self.coefs[:, at],
        )

    def with_cuts(self, coefs: NDArray[np.int64], capacity: Ints) -> SetPacking:
        """Return the problem with more rows."""
        return replace(
            self,
            coefs=csr_array(vstack([self.coefs, csr_array(coefs)])),
            capacity=np.append(self.capacity, capacity),
            equality=np.append(self.equality, np.zeros(len(capacity), dtype=np.bool_)),
        )


def set_packing_of(
    instance: Instance, columns: Sequence[Enumerated], rows: Collection[int]
) -> SetPacking:
    """Return the set-packing problem over enumerated columns, with some rows of the instance."""
    order = sorted(rows)
    row_of = {row: at for at, row in enumerate(order)}
    entries = [
        (row_of[row], at, coef) for at, (_, _, coefs) in enumerate(columns) for row, coef in coefs
    ]
    at_row, at_column, value = np.array(entries, dtype=np.int64).reshape(-1, 3).T
    capacity = instance.capacity[order]
    units = _units(at_row, value, len(order))
    # An equality row that cannot meet its capacity is left as it is: there is no solution.
    units = np.where(instance.equality[order] & (capacity % units != 0), 1, units)
    return SetPacking(
        jobs=instance.jobs,
        columns=columns,
        rows=order,
        units=units,
        job=np.array([column.job for column, _, _ in columns], dtype=np.int64),
        cost=np.array([cost for _, cost, _ in columns], dtype=np.int64),
        coefs=csr_array(
            (value // units[at_row], (at_row, at_column)), shape=(len(order), len(columns))
        ),
        capacity=capacity // units,
        equality=instance.equality[order],
    )


def _units(at_row: Ints, value: Ints, rows: int) -> Ints:
    """Return (rows) the greatest common divisor of the coefficients of each row."""
    found = np.zeros(rows, dtype=np.int64)
    np.gcd.at(found, at_row, value)
    return np.maximum(found, 1)


class Relaxation:
    """The relaxation of a set-packing problem, made feasible by artificial variables.

    They satisfy each convexity row and equality row at a cost far above `beyond`. The relaxation
    therefore always has an optimum; an optimum that uses them proves that there is no solution.
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
        """Add the rows of a problem that the relaxation does not have yet."""
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
