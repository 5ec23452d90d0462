"""The bound of a listing, raised by cutting off corners; proven by prices in whole numbers."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from fitsolver.allotment.gomory import cutting_rows
from fitsolver.allotment.listing import Listing
from fitsolver.allotment.pool import Flags, Ints
from fitsolver.allotment.proof import whole_prices
from fitsolver.allotment.tableau import Tableau
from fitsolver.base.deadline import Clock

#: So often corners are cut off without the bound rising, then it is left.
_STALLED: Final = 4
_MOST_ROUNDS: Final = 30
#: Seconds for one corner.
_LONGEST: Final = 20.0
#: Prices that are no simple fractions are multiplied by 2 to the power of so much at most (rows may
#: take a million of something), and less where figures would not have room in so many bits.
_FINEST: Final = 30
_BITS: Final = 61


@dataclass(frozen=True, slots=True)
class Raised:
    """No whole solution of the listing costs less than `bound`.

    `listing` has the rows that prove it, with `prices`. `dearer` (columns) is how much dearer a
    choice is than its taker's cheapest, `reached` what all the cheapest come to, all times `scale`.
    """

    listing: Listing
    bound: int
    prices: Ints
    dearer: Ints
    reached: int
    scale: int

    @property
    def strength(self) -> tuple[int, float]:
        """The bound, and what it is before it is raised to the next multiple."""
        return self.bound, self.reached / self.scale

    @property
    def more_rows(self) -> Ints:
        """The rows with a price that are not the pool's own: those told are, in its own units."""
        own = np.flatnonzero(self.listing.units == 1)
        return np.setdiff1d(np.flatnonzero(self.prices), own)

    def nearest(self, most: int, count: int) -> int:
        """Return a value up to `most` for which no more than so many choices are left, if any is.

        It is not below the bound.
        """
        if len(self.dearer) <= count:
            return most
        beyond = int(np.partition(self.dearer, count)[count])
        least = -(-(self.reached + beyond) // self.scale) - 1
        return min(most, max(self.bound, least))

    def spare(self, value: int) -> Ints:
        """Return (columns) how much less may be dear in a solution of `value` that has a choice."""
        return value * self.scale - self.reached - self.dearer

    def left(self, value: int) -> Flags:
        """Return (columns) which choices may be in a solution of `value` or less."""
        return self.spare(value) >= 0

    def within(self, value: int) -> Listing:
        """Return the listing of those choices."""
        return self.listing.only(self.left(value))


def raised(listing: Listing, bound: int, most: int, clock: Clock) -> Raised:
    """Return what is proven of a listing: ends as soon as nothing of it costs `most` or less.

    No solution costs less than `bound`.
    """
    best = _proven(listing, np.zeros(len(listing.capacity), dtype=np.int64), 1)
    if listing.lacking:
        return replace(best, bound=most + listing.step)
    tableau, stalled = Tableau(listing, most - bound + listing.step), 0
    for _ in range(_MOST_ROUNDS):
        if clock.left == 0 or not tableau.solve(clock.at_most(_LONGEST)):
            break
        found = _best(listing, tableau.prices())
        stalled = 0 if found.bound > best.bound else stalled + 1
        best = max(found, best, key=lambda told: told.strength)
        if best.bound > most or stalled >= _STALLED:
            break
        takes, capacity = cutting_rows(listing, tableau.shares(), tableau.multipliers())
        if not len(capacity):
            break
        listing = listing.with_rows(takes, capacity)
        tableau.add(listing)
    return best


def _best(listing: Listing, prices: NDArray[np.float64]) -> Raised:
    # As fine as leaves room for sums over all takers.
    dear = np.abs(prices)
    most = float((listing.cost + dear @ listing.takes).max()) * listing.takers
    most += float(dear @ listing.capacity)
    fine = 1 << max(0, min(_FINEST, _BITS - int(np.ceil(np.log2(max(1.0, most))))))
    return max(
        (_proven(listing, *some) for some in whole_prices(prices, listing.tight, fine)),
        key=lambda found: found.strength,
    )


def _proven(listing: Listing, prices: Ints, scale: int) -> Raised:
    """Return the bound that prices (multiplied by `scale`) prove."""
    priced = listing.cost * scale + prices @ listing.takes
    least = listing.of_takers(priced)
    reached = int(least.sum()) - int(prices @ listing.capacity)
    step = scale * listing.step
    bound = -(-reached // step) * listing.step
    return Raised(listing, bound, prices, priced - least[listing.taker], reached, scale)
