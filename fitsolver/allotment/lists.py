"""What lies within a gap, listed and its bound raised: with more and more rows told apart.

What a list that tells few rows has left, once its bound is raised, is all that one that tells more
needs to look at.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

import numpy as np

from fitsolver.allotment.columns import MANY, columns
from fitsolver.allotment.listing import listing_of
from fitsolver.allotment.packing import Kept
from fitsolver.allotment.proof import Proof
from fitsolver.allotment.raising import Raised, raised
from fitsolver.base.deadline import Clock

#: With more choices than this a level that is proven already is held by a row instead.
_SOME: Final = 5_000


@dataclass(frozen=True, slots=True)
class _Stage:
    """Everything that comes to `most` or less, as far as `rows` tell."""

    rows: frozenset[int]
    most: int
    found: Raised

    def kept(self, most: int) -> Kept:
        return Kept(self.rows, [(c.taker, told) for c, _, told in self.found.within(most).columns])


class Lists:
    """The lists of one level. At first rows with a price, and tight ones, are told apart.

    What holds without the others holds with them.
    """

    def __init__(self, proof: Proof, level: int, clock: Clock) -> None:
        self.proof, self.level, self.clock = proof, level, clock
        pool = proof.whole.pool
        priced = np.flatnonzero((proof.prices != 0) | pool.tight).tolist()
        self.first = self.rows = frozenset(priced)
        self.stages: list[_Stage] = []

    def tell(self, rows: Iterable[int]) -> None:
        """Tell more rows apart from now on."""
        self.rows |= frozenset(rows)

    def within(self, most: int) -> Raised | None:
        """Return what comes to `most` or less. None: it is too much, or the clock ended."""
        stage = self._last(most)
        if stage is not None and stage.rows != self.rows and stage.found.bound <= most:
            stage = self._list(most, self.rows, stage.kept(most))
        return None if stage is None else stage.found

    def proving(self, value: int) -> Raised | None:
        """Return what comes to `value` or less, with no more rows told than prove the value.

        As far as they do; None where it is not listed yet and too much, or the clock ended.
        """
        stage = self._last(value, _SOME)
        proving = (each for each in self.stages if each.found.bound >= value)
        stage = next(proving, stage)
        return None if stage is None else stage.found

    def _last(self, most: int, count: int = MANY) -> _Stage | None:
        self.stages = [stage for stage in self.stages if stage.most >= most]
        return self.stages[-1] if self.stages else self._list(most, self.first, None, count)

    def _list(
        self, most: int, rows: frozenset[int], kept: Kept | None, count: int = MANY
    ) -> _Stage | None:
        whole, gap = self.proof.whole, self.proof.gap(most)
        told = columns(whole, self.level, gap, rows, self.clock, kept, count)
        if told is None:
            return None
        listing = listing_of(whole.pool, told, rows)
        stage = _Stage(rows, most, raised(listing, self.proof.bound, most, self.clock))
        self.stages.append(stage)
        return stage
