"""A bound on a level, proven by prices in whole numbers, and everything priced with them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitsolver.allotment.pool import Flags, Ints, Pool, Priced, priced, step_of
from fitsolver.allotment.restrict import Restricted, restrict

#: Prices are multiplied before they are rounded: by the least number that makes all of them whole
#: where they are simple fractions (then there is no gap), else by the fine one.
_FRACTIONS: Final = 2520
_FINE: Final = 1 << 14
#: How near to a whole number is one, for one unit.
_EXACT: Final = 1e-6


class Proof(NamedTuple):
    """Prices and their scale, the bound they prove, and everything priced with them.

    Whatever all come to is a multiple of `step`.
    """

    bound: int
    scaled: int
    scale: int
    step: int
    prices: Ints
    whole: Priced

    def stepped(self, bound: int) -> int:
        """Return a bound raised to the next multiple of the step."""
        return -(-bound // self.step) * self.step

    def gap(self, value: int) -> int:
        """Return how far a value is above the bound (scaled)."""
        return value * self.scale - self.scaled

    def left(self, value: int) -> Restricted:
        """Return the pool without what is in no solution that comes to a value or less."""
        return restrict(self.whole, self.prices, self.gap(value), self.scale * self.step)


def proof_by(pool: Pool, level: int, prices: Ints, scale: int) -> Proof:
    """Return the bound that prices (multiplied by `scale`) prove."""
    costs = pool.costs[:, level].astype(np.int64)
    whole = priced(pool, costs * scale, prices)
    scaled = int(whole.taker.sum()) - int(prices @ pool.capacity)
    step = step_of(costs)
    bound = -(-scaled // (scale * step)) * step
    return Proof(bound, scaled, scale, step, prices, whole)


def best_proof(pool: Pool, level: int, prices: NDArray[np.float64]) -> Proof:
    """Return the best bound that prices prove once they are whole numbers."""
    return max(
        (proof_by(pool, level, *rounded) for rounded in whole_prices(prices, pool.tight)),
        key=lambda proof: (proof.bound, -proof.gap(proof.bound) / proof.scale),
    )


def whole_prices(
    prices: NDArray[np.float64], tight: Flags, fine: int = _FINE
) -> Iterator[tuple[Ints, int]]:
    """Yield prices in whole numbers with their scale: as simple fractions, if they are any."""
    scale = denominator(prices, _FRACTIONS)
    if scale is not None:
        yield _whole(prices, tight, scale), scale
    yield _whole(prices, tight, fine), fine


def denominator(figures: NDArray[np.float64], most: int) -> int | None:
    """Return the least number up to `most` that makes all figures whole, if there is one."""
    for scale in range(1, most + 1):
        if np.abs(figures * scale - np.rint(figures * scale)).max(initial=0.0) < _EXACT * scale:
            return scale
    return None


def _whole(prices: NDArray[np.float64], tight: Flags, scale: int) -> Ints:
    whole = np.rint(prices * scale).astype(np.int64)
    return np.where(tight, whole, np.maximum(whole, 0))
