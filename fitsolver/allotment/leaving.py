"""What a level leaves to those after it, once it is settled: all solutions that are as good."""

from __future__ import annotations

from collections.abc import Callable

from fitsolver.allotment.proof import Proof, proof_by
from fitsolver.allotment.raising import Raised, raised
from fitsolver.allotment.restrict import Restricted, composed
from fitsolver.allotment.splitting import split
from fitsolver.solving.search import Clock


def left_by(
    proof: Proof,
    level: int,
    within: Callable[[int], Raised | None],
    value: int,
    clock: Clock,
) -> Restricted:
    """Return the pool of what comes to a value, below which there is nothing.

    Where prices alone leave more than that, the list of all that is `within` it narrows it.
    """
    left = proof.left(value)
    told = None if left.exact or clock.left == 0 else within(value)
    if told is None:
        return left
    again = raised(told.within(value), value, value, clock)
    parts = split(left.pool, level, again, value, clock)
    if parts is None:
        return left
    narrower = proof_by(parts.left.pool, level, parts.prices, parts.scale)
    return composed(composed(left, parts.left), narrower.left(value))
