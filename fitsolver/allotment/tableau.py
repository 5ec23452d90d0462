"""The relaxation of a listing: shares of its choices at the least cost, and its corner in full."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray
from ortools.linear_solver import pywraplp
from scipy.sparse import csc_array, hstack, vstack
from scipy.sparse.linalg import splu

from fitsolver.allotment.listing import Listing

#: A share is broken that is so far from a whole one.
_BROKEN: Final = 1e-4
#: How many times `beyond` a row that is not held costs more than the dearest choice.
_DEARLY: Final = 1000
#: So many shares are looked at.
_LOOKS: Final = 150


class Tableau:
    """Shares of listed choices, one whole a taker, within the rows: else, in part, very dearly.

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
        self.scale: list[float] = []
        self.share: list[pywraplp.Variable] = []
        for taker, cost in zip(listing.taker.tolist(), listing.cost.tolist(), strict=True):
            self.share.append(self._variable(self.one[taker], cost))
        self.dear = int(listing.cost.max()) + _DEARLY * beyond
        # Who goes without, and what is short of or beyond a tight row: at which of all rows.
        self.astray: list[tuple[int, pywraplp.Variable]] = []
        for at, one in enumerate(self.one):
            self._let(at, one, 1.0)
        self.add(listing)

    def _let(self, at: int, row: pywraplp.Constraint, much: float) -> None:
        """Let a row be held without shares, in part, dearly."""
        self.astray.append((at, self._variable(row, self.dear, much)))

    def _variable(
        self, row: pywraplp.Constraint, cost: int, much: float = 1.0
    ) -> pywraplp.Variable:
        share = self.solver.NumVar(0.0, self.solver.infinity(), "")
        self.objective.SetCoefficient(share, float(cost))
        row.SetCoefficient(share, much)
        return share

    def add(self, listing: Listing) -> None:
        """Add the rows of a listing that it has beyond those known."""
        self.listing, known = listing, len(self.within)
        takes = listing.takes
        for row in range(known, len(listing.capacity)):
            begin, end = int(takes.indptr[row]), int(takes.indptr[row + 1])
            columns, values = takes.indices[begin:end].tolist(), takes.data[begin:end].tolist()
            scale = float(max(values, default=1))  # no larger figures than 1: floats like that
            most = float(listing.capacity[row]) / scale
            least = most if bool(listing.tight[row]) else -self.solver.infinity()
            held = self.solver.Constraint(least, most)
            self.within.append(held)
            if bool(listing.tight[row]):
                self._let(listing.takers + row, held, 1.0)
                self._let(listing.takers + row, held, -1.0)
            self.scale.append(scale)
            for column, value in zip(columns, values, strict=True):
                held.SetCoefficient(self.share[column], float(value) / scale)

    def solve(self, seconds: float) -> bool:
        """Find the shares of the least cost; False where the solver gave up, or ran out of time."""
        self.solver.SetTimeLimit(max(1, int(1000 * seconds)))
        return bool(self.solver.Solve() == pywraplp.Solver.OPTIMAL)

    def prices(self) -> NDArray[np.float64]:
        """Return (rows) what a unit of each row is worth."""
        found = np.array([-row.dual_value() for row in self.within], dtype=np.float64)
        priced: NDArray[np.float64] = found / np.array(self.scale)
        return priced

    def shares(self) -> NDArray[np.float64]:
        """Return (columns) the share of each choice."""
        return np.array([share.solution_value() for share in self.share], dtype=np.float64)

    def multipliers(self) -> Iterator[NDArray[np.float64]]:
        """Yield, for broken shares, of what times each row the corner makes that share.

        Takers come first, then rows: a line of the simplex tableau.
        """
        shares = np.flatnonzero([_basic(share) for share in self.share])
        units = [at for at, variable in self.astray if _basic(variable)]
        units += [at for at, row in enumerate((*self.one, *self.within)) if _basic(row)]
        rows = len(self.one) + len(self.within)
        matrix = hstack([equations(self.listing)[:, shares], _units(rows, units)])
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


def _units(rows: int, at: Sequence[int]) -> csc_array:
    return csc_array((np.ones(len(at)), (at, np.arange(len(at)))), shape=(rows, len(at)))


def _basic(of: pywraplp.Variable | pywraplp.Constraint) -> bool:
    return bool(of.basis_status() == pywraplp.Solver.BASIC)
