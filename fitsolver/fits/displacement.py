"""Rule `displacement`: `n pi/4 F^2 S`, against a class or licence limit (plain geometry)."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Final

from fitsolver.base.lengths import ceil, floor

#: pi to 30 decimals, from both sides, so that a limit is never passed by rounding.
PI_BELOW: Final = Fraction(3_141592653589793238462643383279, 10**30)
PI_ABOVE: Final = PI_BELOW + Fraction(1, 10**30)


def displacement(bores: Iterable[int], stroke: int) -> int:
    """Return the displacement in cubic ticks (rounded up) of bores and stroke in ticks."""
    return ceil(PI_ABOVE / 4 * stroke * sum(bore * bore for bore in bores))


def largest_sum_of_squares(limit: int, stroke: int) -> int:
    """Return the largest sum of squared bores (square ticks) within `limit` cubic ticks."""
    return floor(4 * limit / (PI_ABOVE * stroke))
