"""A bound by shares of known choices, raised by rows that whole solutions do not break."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from math import inf
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitsolver.allotment.master import Master
from fitsolver.allotment.pool import Choice, Pool, cheapest, priced, value_of
from fitsolver.allotment.proof import Proof, best_proof
from fitsolver.allotment.rounding import Row, broken_rows, groups_of, with_rows
from fitsolver.base.deadline import Clock

_MOST_ROUNDS: Final = 500
#: What is no more than an error of floating point, for one unit of a value.
_NEAR: Final = 1e-7
#: So often rows are added without the bound rising, then it is left.
_STALLED: Final = 5
#: How much of the best prices so far is mixed into new ones: prices of early rounds leap about.
_STEADY: Final = 0.5


class Mixed(NamedTuple):
    """The best solution on the way, the best bound with the rows that make it, and the shares."""

    known: dict[int, Choice]
    proof: Proof
    shares: dict[Choice, float]


def mixed_bound(
    pool: Pool,
    level: int,
    known: dict[int, Choice],
    seen: Collection[Choice],
    groups: Sequence[Sequence[int]],
    clock: Clock,
) -> Mixed:
    """Return a bound by shares, raised by rows that they break, as long as there are any."""
    told = dict.fromkeys(seen)
    rows: list[Row] = []
    grouped: list[Row] | None = None
    best: Proof | None = None
    shares: dict[Choice, float] = {}
    reached, stalled = -inf, 0
    while stalled < _STALLED:
        wider = with_rows(pool, rows)
        master = Master(wider, level)
        master.add([*known.values(), *told])
        prices, better = _mix(wider, level, master, value_of(pool, known, level), clock)
        known = better or known
        proof = best_proof(wider, level, prices)
        if best is None or proof.bound >= best.bound:
            best = proof
        if clock.left == 0 or best.bound == value_of(pool, known, level) or not master.solve():
            break
        shares = master.shares()
        told = dict.fromkeys(master.choices)
        grouped = groups_of(pool, groups) if grouped is None else grouped
        broken = broken_rows(pool, grouped, shares)
        if not broken:
            break
        if master.value > reached + _NEAR * abs(reached):
            reached, stalled = master.value, 0
            priced_rows = prices[len(pool.capacity) :] > 0
            rows = [row for row, has in zip(rows, priced_rows, strict=True) if has]
        else:
            stalled += 1
        rows = rows + broken
    assert best is not None
    return Mixed(known, best, shares)


def _mix(
    pool: Pool, level: int, master: Master, value: int, clock: Clock
) -> tuple[NDArray[np.float64], dict[int, Choice] | None]:
    """Return the prices of the best bound found, and the best whole solution on the way."""
    costs = pool.costs[:, level].astype(np.float64)
    best, reached = np.zeros(len(pool.capacity)), -np.inf
    better: dict[int, Choice] | None = None
    for _ in range(_MOST_ROUNDS):
        if clock.left == 0 or not master.solve():
            break
        whole = master.whole()
        if whole is not None and value_of(pool, whole, level) < value:
            better, value = whole, value_of(pool, whole, level)
        prices = master.prices()
        steady = _STEADY if np.isfinite(reached) else 0.0
        added = 0
        for tried in (steady * best + (1 - steady) * prices, prices):
            look = priced(pool, costs, tried)
            bound = float(look.taker.sum() - tried @ pool.capacity)
            if bound > reached:
                best, reached = tried, bound
            added = master.add(cheapest(look))
            if added:
                break
        near = _NEAR * max(1.0, abs(master.value))
        if not added or reached >= value - near or master.value - reached <= near:
            break
    return best, better
