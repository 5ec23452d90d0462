"""Settle a pool level by level, each proven in whole numbers before the next is looked at.

On each level the takers' known choices are mixed by a linear programme (column generation). Its
prices, rounded to whole numbers, give an exact lower bound; where a whole solution reaches it, that
is the proof, and everything dearer than the gap is left out for good. Where none does, CP-SAT
closes what is left between the two.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from fitsolver.allotment.closing import Closing
from fitsolver.allotment.mixing import mixed_bound
from fitsolver.allotment.polish import polished
from fitsolver.allotment.pool import Choice, Pool, cheapest, fits, small, value_of
from fitsolver.allotment.proof import proof_by
from fitsolver.allotment.restrict import Restricted, back, carried
from fitsolver.base.deadline import Clock


@dataclass(frozen=True, slots=True)
class Settled:
    """A choice of every taker, and what all come to on each level, with the proven bound.

    Levels after the first that is not proven have no bound (None). `left` is the pool of all
    choices that are as good (with rows that hold the levels where it is not of them alone), and
    of which items and ways of the pool its own are; `kept` are the choices in terms of it.
    """

    choices: tuple[Choice, ...]
    kept: tuple[Choice, ...]
    values: tuple[int, ...]
    bounds: tuple[int | None, ...]
    left: Restricted

    @property
    def proven(self) -> bool:
        return self.values == self.bounds


class _Level(NamedTuple):
    known: dict[int, Choice]
    bound: int
    left: Restricted | None
    choices: Collection[Choice]


def settle(
    pool: Pool,
    start: dict[int, Choice],
    clock: Clock,
    names: Sequence[str],
    seeds: Collection[Choice] = (),
    groups: Sequence[Sequence[int]] = (),
    *,
    narrow_last: bool = True,
) -> Settled:
    """Return the best solution of a pool; `start` is any solution, `seeds` choices worth a look.

    `names` are those of the levels to settle, the first of the pool's. Ends early when the clock
    does; then the levels say how far they are proven. Without `narrow_last` more may be left after
    the last level than is as good (a row holds it).
    """
    whole_pool, known, seen = pool, start, seeds
    item_of = np.arange(len(pool.costs))
    way_of = np.arange(len(pool.way_taker))
    bounds: list[int | None] = []
    for level, name in enumerate(names):
        clock.tell(name)
        if not pool.costs[:, level].any():  # nothing left makes a difference to it
            bounds.append(0)
            continue
        known = polished(pool, known, level)
        narrow = narrow_last or level < len(names) - 1
        found = _settle_level(pool, level, known, seen, groups, clock, narrow=narrow)
        known, value = found.known, value_of(pool, found.known, level)
        bounds.append(found.bound)
        if found.left is None:
            break
        left = found.left
        known = {choice.taker: choice for choice in carried(known.values(), left)}
        assert len(known) == pool.takers, "what is best is never left out"
        seen = carried(found.choices, left)
        pool = left.pool if left.exact else _held(left, level, value)
        item_of, way_of = item_of[left.item_of], way_of[left.way_of]
    best = Restricted(pool, True, item_of, way_of)
    known = dict(sorted(known.items()))
    mine = back(known, best)
    values = tuple(value_of(whole_pool, mine, level) for level in range(len(names)))
    bounds += [None] * (len(values) - len(bounds))
    return Settled(tuple(mine.values()), tuple(known.values()), values, tuple(bounds), best)


def _held(left: Restricted, level: int, value: int) -> Pool:
    """Return the pool with a row more, that holds a level where it is settled."""
    row, costs = len(left.pool.capacity), left.pool.costs[:, level]
    pool = left.pool.with_room([value])
    return replace(
        pool,
        rows=np.column_stack([pool.rows, np.where(costs > 0, row, row + 1)]),
        takes=small(np.column_stack([pool.takes, costs])),
    )


def _settle_level(
    pool: Pool,
    level: int,
    known: dict[int, Choice],
    seen: Collection[Choice],
    groups: Sequence[Sequence[int]],
    clock: Clock,
    *,
    narrow: bool,
) -> _Level:
    value = value_of(pool, known, level)
    none = np.zeros(len(pool.capacity), dtype=np.int64)
    proof = proof_by(pool, level, none, 1)
    if proof.bound < value:
        free = {choice.taker: choice for choice in cheapest(proof.whole)}
        if fits(pool, free):
            known, value = free, proof.bound
    if proof.bound == value or clock.left == 0:
        left = proof.left(value) if proof.bound == value else None
        return _Level(known, proof.bound, left, seen)
    mixed = mixed_bound(pool, level, known, seen, groups, clock)
    proof = max(proof, mixed.proof, key=lambda p: p.bound)
    closing = Closing(level, mixed.known, mixed._replace(proof=proof), clock)
    if closing.open:
        closing.run()
    left = closing.left(narrow=narrow) if closing.bound == closing.value else None
    return _Level(closing.known, closing.bound, left, list(mixed.shares))
