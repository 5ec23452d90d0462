"""Rows that cut off a corner with broken shares and no whole solution, in whole numbers.

R. E. Gomory, "An algorithm for the mixed integer problem", RAND report RM-2597 (1960); as mixed-
integer rounding: H. Marchand and L. A. Wolsey, Operations Research 49 (2001). Rows are summed with
multipliers in which everything is whole but for one divisor, and the sum is rounded. Any whole
multipliers make a valid row: floats only propose them.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from fitsolver.allotment.listing import Listing
from fitsolver.allotment.pool import Ints
from fitsolver.allotment.proof import denominator
from fitsolver.allotment.rounding import rounded_off
from fitsolver.allotment.tableau import equations

#: The largest divisor looked for.
_DIVISORS: Final = 240
#: What multipliers are multiplied by before they are rounded where there is none.
_FINE: Final = 1 << 24
#: So many rows are added at a time, those that cut deepest.
_AT_ONCE: Final = 40
#: How deep a row must cut.
_DEEP: Final = 1e-5
#: Figures of a row are brought down to that, for the sake of floats.
_LARGEST: Final = 10**6
#: Sums stay below that.
_ROOM: Final = float(1 << 61)


def cutting_rows(
    listing: Listing,
    shares: NDArray[np.float64],
    multipliers: Iterable[NDArray[np.float64]],
) -> tuple[NDArray[np.int64], Ints]:
    """Return (rows, columns) what is taken of the rows that shares break most, and (rows) of what.

    `multipliers` (takers + rows) are such as `Tableau` yields.
    """
    summing = _Summing(listing)
    found: dict[bytes, tuple[float, Ints, int]] = {}
    for each in multipliers:
        divisor = denominator(each, _DIVISORS) or _FINE
        row = summing.rounded(np.rint(each * divisor).astype(np.int64), divisor)
        if row is None:
            continue
        takes, capacity = row
        over = float(takes @ shares - capacity) / max(1.0, float(np.linalg.norm(takes[shares > 0])))
        if over > _DEEP:
            found.setdefault(takes.tobytes(), (over, takes, capacity))
    best = sorted(found.values(), key=lambda told: -told[0])[:_AT_ONCE]
    columns = len(listing.taker)
    return (
        np.array([takes for _, takes, _ in best], dtype=np.int64).reshape(-1, columns),
        np.array([capacity for _, _, capacity in best], dtype=np.int64),
    )


class _Summing:
    def __init__(self, listing: Listing) -> None:
        self.listing = listing
        self.takes = equations(listing).tocsr()
        self.most = np.concatenate([np.ones(listing.takers, dtype=np.int64), listing.capacity])
        self.tight = np.concatenate([np.ones(listing.takers, dtype=np.bool_), listing.tight])
        self.reach = np.maximum(self.most, self.takes.max(axis=1).toarray()).astype(np.float64)

    def rounded(self, multipliers: Ints, divisor: int) -> tuple[Ints, int] | None:
        """Return the row that comes of the sum of rows, divided by a number; None: nothing is over.

        What is not taken of a row, s, is whole and not below 0. With the sum of the rows as
        a x + u s = b, r = b mod d and F as `rounded_off` gives it, every whole solution has
        F(a) x + F(u) s <= F(b); s is put back as what is not taken.
        """
        at = np.flatnonzero(multipliers)
        if np.abs(multipliers[at]).astype(np.float64) @ self.reach[at] > _ROOM:
            return None
        total = int(multipliers @ self.most)
        over = total % divisor
        if over == 0:
            return None
        takes = rounded_off(multipliers[at] @ self.takes[at, :], divisor, over)
        capacity = (divisor - over) * (total // divisor)
        open_rows = at[~self.tight[at]]
        slack = rounded_off(multipliers[open_rows], divisor, over)
        takes = takes - slack @ self.takes[open_rows, :]
        capacity -= int(slack @ self.most[open_rows])
        least = self.listing.of_takers(takes)  # counted from there nothing takes less than 0
        takes = takes - least[self.listing.taker]
        common = max(1, int(np.gcd.reduce(takes)), -(-int(takes.max(initial=0)) // _LARGEST))
        return takes // common, (capacity - int(least.sum())) // common  # x is not below 0
