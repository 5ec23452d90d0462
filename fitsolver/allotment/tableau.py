"""The relaxation of a listing: shares of its choices at the least cost, and its corner in full."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray
from ortools.linear_solver import pywraplp
from scipy.sparse import csc_array, hstack, vstack
from scipy.sparse.linalg import splu

from fitsolver.allotment.listing import Listing
from fitsolver.allotment.pool import Ints

#: A share is broken that is so far from a whole one.
_BROKEN: Final = 1e-4
#: How many times `beyond` going without costs more than the dearest choice.
_DEARLY: Final = 1000
#: So many shares are looked at.
_LOOKS: Final = 150


class Tableau:
    """Shares of listed choices, one whole a taker; who goes without, in part, pays dearly for it.

    So there always is a solution; where there should be none it costs much, in terms of `beyond`.

    Floats: they propose prices and rows, nothing is proven by them.
    """

    def __init__(self, listing: Listing, beyond: int) -> None:
        self.listing = listing
        self.solver = pywraplp.Solver.CreateSolver("GLOP")
        self.objective = self.solver.Objective()
        self.objective.SetMinimization()
        self.one = [self.solver.Constraint(1.0, 1.0) for _ in range(listing.takers)]
        self.within: list[pywraplp.Constraint] = []
        self.share: list[pywraplp.Variable] = []
        for taker, cost in zip(listing.taker.tolist(), listing.cost.tolist(), strict=True):
            self.share.append(self._variable(self.one[taker], cost))
        dearest = -listing.of_takers(-listing.cost)
        self.without = [
            self._variable(one, cost + _DEARLY * beyond)
            for one, cost in zip(self.one, dearest.tolist(), strict=True)
        ]
        self.add(listing)

    def _variable(self, one: pywraplp.Constraint, cost: int) -> pywraplp.Variable:
        share = self.solver.NumVar(0.0, self.solver.infinity(), "")
        self.objective.SetCoefficient(share, float(cost))
        one.SetCoefficient(share, 1.0)
        return share

    def add(self, listing: Listing) -> None:
        """Add the rows of a listing that it has beyond those known."""
        self.listing, known = listing, len(self.within)
        takes = listing.takes
        for row in range(known, len(listing.capacity)):
            most, tight = float(listing.capacity[row]), bool(listing.tight[row])
            held = self.solver.Constraint(most if tight else -self.solver.infinity(), most)
            self.within.append(held)
            begin, end = int(takes.indptr[row]), int(takes.indptr[row + 1])
            columns, values = takes.indices[begin:end].tolist(), takes.data[begin:end].tolist()
            for column, value in zip(columns, values, strict=True):
                held.SetCoefficient(self.share[column], float(value))

    def solve(self) -> bool:
        """Find the shares of the least cost; False where the solver gave up."""
        return bool(self.solver.Solve() == pywraplp.Solver.OPTIMAL)

    def prices(self) -> NDArray[np.float64]:
        """Return (rows) what a unit of each row is worth."""
        return np.array([-row.dual_value() for row in self.within], dtype=np.float64)

    def shares(self) -> NDArray[np.float64]:
        """Return (columns) the share of each choice."""
        return np.array([share.solution_value() for share in self.share], dtype=np.float64)

    def multipliers(self) -> Iterator[NDArray[np.float64]]:
        """Yield, for broken shares, of what times each row the corner makes that share.

        Takers come first, then rows: a line of the simplex tableau.
        """
        basic = [_basic(variable) for variable in (*self.share, *self.without)]
        slack = [_basic(row) for row in (*self.one, *self.within)]
        count, rows = len(self.share), len(slack)
        at = np.flatnonzero(basic)
        shares, without = at[at < count], at[at >= count] - count
        matrix = hstack(
            [
                equations(self.listing)[:, shares],
                _units(rows, without),
                _units(rows, np.flatnonzero(slack)),
            ]
        )
        if matrix.shape != (rows, rows):
            return
        corner = splu(csc_array(matrix).astype(np.float64))
        value = self.shares()[shares]
        broken = np.flatnonzero(np.abs(value - np.rint(value)) > _BROKEN)
        for index in broken[:: max(1, len(broken) // _LOOKS)].tolist():
            wanted = np.zeros(rows)
            wanted[index] = 1.0
            yield corner.solve(wanted, trans="T")


def equations(listing: Listing) -> csc_array:
    """Return (takers + rows, columns): that a taker takes one, and what of each row it takes."""
    columns = len(listing.taker)
    shape = listing.takers, columns
    ones = np.ones(columns, dtype=np.int64)
    one = csc_array((ones, (listing.taker, np.arange(columns))), shape=shape)
    return csc_array(vstack([one, listing.takes]))


def _units(rows: int, at: Ints) -> csc_array:
    return csc_array((np.ones(len(at)), (at, np.arange(len(at)))), shape=(rows, len(at)))


def _basic(of: pywraplp.Variable | pywraplp.Constraint) -> bool:
    return bool(of.basis_status() == pywraplp.Solver.BASIC)
