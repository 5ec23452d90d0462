"""Close the gap between a bound and a solution: what lies within it is listed and looked through.

The bound of a list is raised in whole numbers as far as that goes; CP-SAT proves the rest, HiGHS
helps to find.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil, inf
from typing import Final

from fitsolver.allotment.around import around
from fitsolver.allotment.compact import compact
from fitsolver.allotment.leaving import narrowed
from fitsolver.allotment.lists import Lists
from fitsolver.allotment.mixing import Mixed
from fitsolver.allotment.pool import Choice, value_of
from fitsolver.allotment.prove import prove
from fitsolver.allotment.raising import Raised, raised
from fitsolver.allotment.restrict import Restricted, back, carried
from fitsolver.allotment.whole import broken_by, found_among, listed, nearest
from fitsolver.base.deadline import Clock

#: How far above the bound is looked first, for one unit of it, and how much farther each time.
_FIRST: Final = 1e-4
_GROWTH: Final = 4
#: Less than that part of the first look is not tried where too much lies within it.
_LEAST: Final = 1 / 16
#: How much farther is worth another look.
_WIDER: Final = 1.5
#: A share that is the whole of a taker.
_WHOLE: Final = 0.999
#: How much work a first look at all as one model may be (about seconds), and how many columns it
#: may have.
_FLOW: Final = 6.0
_SMALL: Final = 30_000
#: What parts of the gap are looked through before that, while the best is far from the bound.
_NEAR: Final = (1 / 64, 1 / 8)
#: What is far from the bound, for one unit of it.
_FAR: Final = 0.01
#: Seconds for a proof while nothing near the bound is known.
_PATIENCE: Final = 30.0
#: Seconds after which lists may tell more than another look near shares.
_SHORT: Final = 6.0
#: Seconds after which all as one model may tell more.
_GLANCE: Final = 0.3
#: With more choices than these left of a list only those nearest to the bound are looked through.
_SOME: Final = 2_000
#: What parts of the gap are looked through for any better solution, once it cannot be listed.
_PARTS: Final = (1 / 256, 1 / 32, 1 / 4)


class Closing:
    """Closes a level. `known` is the best solution so far, no other is below `bound`."""

    def __init__(self, level: int, known: dict[int, Choice], mixed: Mixed, clock: Clock) -> None:
        self.level, self.known, self.proof, self.clock = level, known, mixed.proof, clock
        self.pool, self.bound = mixed.proof.whole.pool, mixed.proof.bound
        self.value = value_of(self.pool, known, level)
        self.shared = {c.taker: c for c, share in mixed.shares.items() if share > _WHOLE}
        self.lists = Lists(self.proof, level, clock)
        self.lefts: dict[int, Restricted] = {}

    @property
    def open(self) -> bool:
        """Tell whether there is a gap, and time."""
        return self.bound < self.value and self.clock.left != 0

    def run(self) -> None:
        """Close the gap as far as that can be done in the time."""
        self._look_in(self.proof.left(self.bound), self.shared, self.bound, _GLANCE)
        for part in _NEAR:
            if self.value - self.bound > _FAR * abs(self.bound) and self.open:
                most = self.bound + ceil((self.value - self.bound) * part)
                self._look_in(self.proof.left(most), self.shared, most, _GLANCE)
        if self.open:
            self._as_one(_FLOW)
        if not self.open:
            return
        self._look_in(self.proof.left(self.bound), self.shared, self.bound, _SHORT)
        far = self.value - self.bound > _FAR * abs(self.bound)
        self._list(_PATIENCE if far else None)
        for part in _PARTS:
            if self.open:
                within = ceil((self.value - self.bound) * part)
                most = self.bound + within
                self._look_in(self.proof.left(most), self.shared, most, inf)
        if far and self.open:
            self._list(None)
        if self.open:
            self._as_one(None)

    def left(self, *, narrow: bool) -> Restricted:
        """Return the pool of all that is as good as the best, once that is proven.

        Without `narrow` prices alone tell, and more may be left.
        """
        assert self.bound == self.value
        if self.value in self.lefts:
            return self.lefts[self.value]
        left = self.proof.left(self.value)
        if left.exact or not narrow or self.clock.left == 0:
            return left
        told = self.lists.proving(self.value)
        return left if told is None else self._narrowed(left, told, self.value)

    def _narrowed(self, left: Restricted, told: Raised, value: int) -> Restricted:
        self.lefts[value] = narrowed(left, self.level, told, value, self.clock)
        return self.lefts[value]

    def _better(self, found: dict[int, Choice] | None) -> None:
        if found is not None:
            value = value_of(self.pool, found, self.level)
            if value < self.value:
                self.known, self.value = found, value

    def _look_in(
        self, left: Restricted, near: Mapping[int, Choice], most: int, seconds: float
    ) -> None:
        """Look in a pool for a solution of at most so much near choices of some takers."""
        moved = {choice.taker: choice for choice in carried(near.values(), left)}
        found = around(left.pool, self.level, moved, most, self.clock, seconds)
        self._better(None if found is None else back(found, left))

    def _list(self, patience: float | None) -> None:
        """Look through all that lies within more and more of the gap, while it can be listed.

        `patience`: seconds for one proof, while there is no fair solution yet.
        """
        more, too_far = _FIRST * abs(self.bound) + self.proof.step, inf
        while self.open:
            most = min(self.value - 1, self.bound + ceil(more))
            told = self.lists.within(most)
            if told is None:
                more, too_far = more / _GROWTH, more
                if more < _LEAST * _FIRST * abs(self.bound):
                    return
                continue
            found = self._settled(told, most, patience)
            if found is not None:
                more = value_of(self.pool, found, self.level) - self.bound
            elif self.bound <= most or too_far < _WIDER * more:
                return
            else:
                more = min(_GROWTH * max(more, self.proof.step), too_far / _WIDER)

    def _settled(self, told: Raised, most: int, patience: float | None) -> dict[int, Choice] | None:
        """Return the best of what is listed, of no more than `most`, and raise the bound.

        What is nearest to the bound is looked through first.
        """
        self._raise(min(told.bound, most + 1))
        some = _SOME
        while self.bound <= most:
            near = max(self.bound, told.nearest(most, some))
            found = self._best_of(told, near, patience)
            if found is not None:
                self._told(told, found)
                return found
            if self.bound <= near:
                break
            some *= 2
        return None

    def _best_of(self, told: Raised, most: int, patience: float | None) -> dict[int, Choice] | None:
        """Return the best of what is listed, as far as its rows tell, and raise the bound to it.

        HiGHS is asked first: a good solution leaves CP-SAT little to prove.
        """
        listing = told.within(most)
        found = found_among(self.pool, listing, most, self.level, self.clock)
        if found is not None:
            most = value_of(self.pool, found, self.level) - 1
            if most < self.bound:
                return found
            listing = told.within(most)
        again = raised(listing, self.bound, most, self.clock)
        self._raise(min(again.bound, most + 1))
        if most < self.bound:
            return found
        proven = listed(again.within(most), most + 1, self.bound, self.clock, patience)
        self._raise(proven.bound)
        return proven.choices or found

    def _told(self, told: Raised, found: dict[int, Choice]) -> None:
        """Take a solution of a list over; where it breaks rows not told, what is near it."""
        broken = broken_by(self.pool, found)
        if not broken:
            self._better(found)
            return
        value = value_of(self.pool, found, self.level)
        kept = nearest(self.pool, told.within(value), self.shared, found, self.level, self.clock)
        left = self.proof.left(value)
        if self.bound == value:
            left = min(left, self._narrowed(left, told, value), key=lambda some: some.places)
        self._look_in(left, kept, value, _SHORT)
        self.lists.tell(broken)

    def _raise(self, bound: int) -> None:
        self.bound = max(self.bound, self.proof.stepped(bound))

    def _as_one(self, patience: float | None) -> None:
        """Look through all that lies within the gap as one sparse model.

        With `patience` (about seconds of work) only where that model is small.
        """
        left = self.proof.left(self.value - 1)
        small = compact(left.pool, self.level)
        if patience is not None and len(small.model.cost) > _SMALL:
            return
        found, bound = prove(small, self.value, self.bound, self.clock, patience=patience)
        self._raise(bound)
        self._better(None if found is None else back(found, left))
