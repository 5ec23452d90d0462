"""Closing the gap between bound and incumbent on one level.

Fix-and-optimise looks for an incumbent at the bound. CP-SAT tries the flow model of the subinstance
after fixing, with a limit on its work. Then the columns within the gap are enumerated and cutting
planes raise their bound. CP-SAT proves the rest.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil, inf
from typing import Final

from fitsolver.base.deadline import Clock
from fitsolver.mip.column_generation import Relaxed
from fitsolver.mip.cutting_planes import CutBound, Enumerations, cut_bound
from fitsolver.mip.enumeration import MANY
from fitsolver.mip.exact import (
    close_columns,
    close_flow,
    incumbent_among,
    nearest,
    violated_rows,
)
from fitsolver.mip.fixing import Subinstance, fixed, lifted, projected
from fitsolver.mip.flow_model import flow_model
from fitsolver.mip.heuristics import fix_and_optimise
from fitsolver.mip.instance import Column, Solution, objective
from fitsolver.mip.splitting import optimal_face

#: First enumeration limit above the bound, relative to it, and the factor by which it grows.
_FIRST: Final = 1e-4
_GROWTH: Final = 4
#: Smallest enumeration limit, as a share of the first, when too many columns lie within it.
_LEAST: Final = 1 / 16
#: Most columns enumerated before the flow model gets a higher work limit.
_FEW: Final = 20_000
#: Most retries with fewer columns when there are too many, before the flow model is tried again.
_TRIES: Final = 2
#: Least growth of the enumeration limit that is worth another enumeration.
_WIDER: Final = 1.5
#: Work limits of the first and second try of the flow model (about seconds), and the limit on its
#: variables.
_FIRST_FLOW: Final = 2.0
_FLOW: Final = 6.0
_SMALL: Final = 30_000
#: Shares of the gap searched before the second try, while the incumbent is far from the bound.
_NEAR: Final = (1 / 64, 1 / 8)
#: Relative gap above which an incumbent is far from the bound.
_FAR: Final = 0.01
#: Seconds for a proof while no incumbent near the bound is known.
_PATIENCE: Final = 30.0
#: Seconds after which enumeration promises more than another neighbourhood.
_SHORT: Final = 6.0
#: Seconds after which the flow model promises more than another neighbourhood.
_GLANCE: Final = 0.3
#: Above this number of columns, only those nearest to the bound are searched.
_SOME: Final = 2_000
#: Shares of the gap searched for a better incumbent, once the gap cannot be enumerated.
_PARTS: Final = (1 / 256, 1 / 32, 1 / 4)


class Gap:
    """The gap of a level: `incumbent` of objective `value`, and no solution below `bound`."""

    def __init__(self, level: int, relaxed: Relaxed, clock: Clock) -> None:
        self.level, self.incumbent, self.clock = level, relaxed.incumbent, clock
        self.dual, self.bound = relaxed.dual, relaxed.dual.bound
        self.instance = self.dual.priced.instance
        self.value = objective(self.instance, self.incumbent, level)
        self.integral = relaxed.integral
        self.enumerations = Enumerations(self.dual, level, clock)
        self.faces: dict[int, Subinstance] = {}

    @property
    def open(self) -> bool:
        """Tell whether there is still a gap, and time to close it."""
        return self.bound < self.value and self.clock.left != 0

    def close(self) -> None:
        """Close the gap as far as the time allows."""
        self._search(fixed(self.dual, self.bound), self.integral, self.bound, _GLANCE)
        if self.open:
            self._close_flow(_FIRST_FLOW)
        if self.open:
            self._enumerate(_PATIENCE if self._far else None, _FEW)
        for part in _NEAR:
            if self._far and self.open:
                most = self.bound + ceil((self.value - self.bound) * part)
                self._search(fixed(self.dual, most), self.integral, most, _GLANCE)
        if self.open:
            self._close_flow(_FLOW)
        if not self.open:
            return
        self._search(fixed(self.dual, self.bound), self.integral, self.bound, _SHORT)
        far = self._far
        self._enumerate(_PATIENCE if far else None, MANY)
        for part in _PARTS:
            if self.open:
                most = self.bound + ceil((self.value - self.bound) * part)
                self._search(fixed(self.dual, most), self.integral, most, inf)
        if far and self.open:
            self._enumerate(None, MANY)
        if self.open:
            self._close_flow(None)

    def face(self) -> Subinstance:
        """Return what is left of the instance: all solutions as good as the proven optimum."""
        assert self.bound == self.value
        if self.value in self.faces:
            return self.faces[self.value]
        sub = fixed(self.dual, self.value)
        if sub.exact or self.clock.left == 0:
            return sub
        cut = self.enumerations.proving(self.value)
        return sub if cut is None else self._face(sub, cut, self.value)

    def _face(self, sub: Subinstance, cut: CutBound, value: int) -> Subinstance:
        self.faces[value] = optimal_face(sub, self.level, cut, value, self.clock)
        return self.faces[value]

    @property
    def _far(self) -> bool:
        return self.value - self.bound > _FAR * abs(self.bound)

    def _raise(self, bound: int) -> None:
        self.bound = max(self.bound, self.dual.stepped(bound))

    def _improve(self, found: Solution | None) -> None:
        if found is not None:
            value = objective(self.instance, found, self.level)
            if value < self.value:
                self.incumbent, self.value = found, value

    def _search(
        self, sub: Subinstance, near: Mapping[int, Column], most: int, seconds: float
    ) -> None:
        """Search a subinstance near the columns of some jobs for a solution within an objective
        limit.
        """
        moved = {column.job: column for column in projected(near.values(), sub)}
        found = fix_and_optimise(sub.instance, self.level, moved, most, self.clock, seconds)
        self._improve(None if found is None else lifted(found, sub))

    def _enumerate(self, patience: float | None, count: int) -> None:
        """Enumerate the columns within a growing part of the gap, up to `count` columns.

        `patience`: time limit in seconds of one proof, while no incumbent near the bound is known.
        """
        more, too_far, fails = _FIRST * abs(self.bound) + self.dual.step, inf, 0
        while self.open:
            most = min(self.value - 1, self.bound + ceil(more))
            cut = self.enumerations.within(most, count)
            if cut is None:
                more, too_far, fails = more / _GROWTH, more, fails + 1
                if count < MANY and fails > _TRIES:
                    return
                if more < _LEAST * _FIRST * abs(self.bound):
                    return
                continue
            found = self._settled(cut, most, patience)
            if found is not None:
                more = objective(self.instance, found, self.level) - self.bound
            elif self.bound <= most or too_far < _WIDER * more:
                return
            else:
                more = min(_GROWTH * max(more, self.dual.step), too_far / _WIDER)

    def _settled(self, cut: CutBound, most: int, patience: float | None) -> Solution | None:
        """Return the best solution of enumerated columns, of objective `most` or less, and raise
        the bound.

        The columns nearest to the bound are searched first.
        """
        self._raise(min(cut.bound, most + 1))
        some = _SOME
        while self.bound <= most:
            near = max(self.bound, cut.nearest(most, some))
            found = self._best_of(cut, near, patience)
            if found is not None:
                self._accept(cut, found)
                return found
            if self.bound <= near:
                break
            some *= 2
        return None

    def _best_of(self, cut: CutBound, most: int, patience: float | None) -> Solution | None:
        """Return the best solution of enumerated columns, within the distinguished rows, and raise
        the bound.

        HiGHS runs first: a good incumbent leaves CP-SAT little to prove.
        """
        problem = cut.within(most)
        found = incumbent_among(self.instance, problem, most, self.level, self.clock)
        if found is not None:
            most = objective(self.instance, found, self.level) - 1
            if most < self.bound:
                return found
            problem = cut.within(most)
        again = cut_bound(problem, self.bound, most, self.clock)
        self._raise(min(again.bound, most + 1))
        if most < self.bound:
            return found
        closed = close_columns(again.within(most), most + 1, self.bound, self.clock, patience)
        self._raise(closed.bound)
        return closed.solution or found

    def _accept(self, cut: CutBound, found: Solution) -> None:
        """Accept a solution of enumerated columns; if it violates rows not distinguished, repair it
        to a solution near it.
        """
        violated = violated_rows(self.instance, found)
        if not violated:
            self._improve(found)
            return
        value = objective(self.instance, found, self.level)
        problem = cut.within(value)
        kept = nearest(self.instance, problem, self.integral, found, self.level, self.clock)
        sub = fixed(self.dual, value)
        self._search(sub, kept, value, _GLANCE)
        if self.bound == value < self.value:  # fewer modes are left once they are split
            sub = min(sub, self._face(sub, cut, value), key=lambda some: some.slots)
            self._search(sub, kept, value, _SHORT)
        elif self.open:
            self._search(sub, kept, value, _SHORT)
        self.enumerations.tell(violated)

    def _close_flow(self, work: float | None) -> None:
        """Close the gap with the flow model of the subinstance within it.

        With `work` (a limit on the solver's work, about seconds), only a small model is tried.
        """
        sub = fixed(self.dual, self.value - 1)
        flow = flow_model(sub.instance, self.level)
        if work is not None and len(flow.model.cost) > _SMALL:
            return
        closed = close_flow(flow, self.value, self.bound, self.clock, work=work)
        self._raise(closed.bound)
        self._improve(None if closed.solution is None else lifted(closed.solution, sub))
