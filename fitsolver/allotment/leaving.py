"""What a level leaves to those after it, once it is settled: all solutions that are as good."""

from __future__ import annotations

from fitsolver.allotment.proof import proof_by
from fitsolver.allotment.raising import Raised, raised
from fitsolver.allotment.restrict import Restricted, composed
from fitsolver.allotment.splitting import split
from fitsolver.base.deadline import Clock


def narrowed(left: Restricted, level: int, told: Raised, value: int, clock: Clock) -> Restricted:
    """Return what is left of a pool of what comes to a value, below which there is nothing.

    Where prices alone leave more than that (it is not exact), a list of all that comes to it tells.
    """
    if left.exact or clock.left == 0:
        return left
    again = raised(told.within(value), value, value, clock)
    parts = split(left.pool, level, again, value, clock)
    if parts is None:
        return left
    narrower = proof_by(parts.left.pool, level, parts.prices, parts.scale)
    return composed(composed(left, parts.left), narrower.left(value))
