"""Gomory mixed-integer cuts of a set-packing problem, in whole numbers.

R. E. Gomory, "An algorithm for the mixed integer problem", RAND report RM-2597 (1960); as mixed-
integer rounding: H. Marchand and L. A. Wolsey, Operations Research 49 (2001). Rows are summed with
integer multipliers, and the sum is rounded by a divisor. Any integer multipliers make a valid cut:
floating point only proposes them.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from fitsolver.mip.dual_bound import common_denominator
from fitsolver.mip.instance import Ints
from fitsolver.mip.rounding_cuts import rounding
from fitsolver.mip.set_packing import SetPacking

#: The largest divisor looked for.
_DIVISORS: Final = 240
#: What multipliers without a common denominator are scaled by before they are rounded.
_FINE: Final = 1 << 24
#: So many cuts are added at a time, the deepest ones.
_AT_ONCE: Final = 40
#: Least depth: violation over the Euclidean norm of the coefficients at columns above 0.
_DEEP: Final = 1e-5
#: Coefficients of a cut are scaled down to that, for the sake of floating point.
_LARGEST: Final = 10**6
#: Sums stay below that.
_ROOM: Final = float(1 << 61)


def gomory_cuts(
    problem: SetPacking,
    values: NDArray[np.float64],
    inverse: Iterable[NDArray[np.float64]],
) -> tuple[NDArray[np.int64], Ints]:
    """Return the deepest cuts of fractional values (columns): coefficients (cuts, columns) and
    capacity (cuts).

    `inverse` yields rows of the basis inverse (jobs + rows).
    """
    aggregation = Aggregation(problem)
    found: dict[bytes, tuple[float, Ints, int]] = {}
    for row in inverse:
        divisor = common_denominator(row, _DIVISORS) or _FINE
        cut = aggregation.rounded(np.rint(row * divisor).astype(np.int64), divisor)
        if cut is None:
            continue
        coefs, capacity = cut
        norm = float(np.linalg.norm(coefs[values > 0]))
        depth = float(coefs @ values - capacity) / max(1.0, norm)
        if depth > _DEEP:
            found.setdefault(coefs.tobytes(), (depth, coefs, capacity))
    best = sorted(found.values(), key=lambda some: -some[0])[:_AT_ONCE]
    columns = len(problem.job)
    return (
        np.array([coefs for _, coefs, _ in best], dtype=np.int64).reshape(-1, columns),
        np.array([capacity for _, _, capacity in best], dtype=np.int64),
    )


class Aggregation:
    """Sums of the rows of a problem, the convexity rows first."""

    def __init__(self, problem: SetPacking) -> None:
        self.problem = problem
        self.coefs = problem.matrix.tocsr()
        ones = np.ones(problem.jobs, dtype=np.int64)
        self.capacity = np.concatenate([ones, problem.capacity])
        self.equality = np.concatenate([ones.astype(np.bool_), problem.equality])
        largest = self.coefs.max(axis=1).toarray()
        self.reach = np.maximum(self.capacity, largest).astype(np.float64)

    def rounded(self, multipliers: Ints, divisor: int) -> tuple[Ints, int] | None:
        """Return the rounding cut of a sum of rows; None where its remainder is 0.

        The slack s of an inequality row is integer and not below 0. With the sum of the rows as
        a x + u s = b, r = b mod d and F as in `rounding`, every integer solution has
        F(a) x + F(u) s <= F(b); s is substituted out.
        """
        at = np.flatnonzero(multipliers)
        if np.abs(multipliers[at]).astype(np.float64) @ self.reach[at] > _ROOM:
            return None
        total = int(multipliers @ self.capacity)
        remainder = total % divisor
        if remainder == 0:
            return None
        coefs = rounding(multipliers[at] @ self.coefs[at, :], divisor, remainder)
        capacity = (divisor - remainder) * (total // divisor)
        inequality = at[~self.equality[at]]
        slack = rounding(multipliers[inequality], divisor, remainder)
        coefs = coefs - slack @ self.coefs[inequality, :]
        capacity -= int(slack @ self.capacity[inequality])
        least = self.problem.least_of_jobs(coefs)  # counted from there no coefficient is below 0
        coefs = coefs - least[self.problem.job]
        common = max(1, int(np.gcd.reduce(coefs)), -(-int(coefs.max(initial=0)) // _LARGEST))
        return coefs // common, (capacity - int(least.sum())) // common  # x is not below 0
