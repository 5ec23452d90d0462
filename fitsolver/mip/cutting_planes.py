"""Cutting planes on enumerated columns: the bound of the relaxation, raised by Gomory cuts.

Duals of the relaxation are rounded to integers; the bound that they prove is recomputed in whole
numbers, as for the instance.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from fitsolver.base.deadline import Clock
from fitsolver.mip.cuts import gomory_cuts
from fitsolver.mip.dual_bound import DualBound, fine_scale, integer_duals, with_room
from fitsolver.mip.enumeration import MANY, columns_within
from fitsolver.mip.instance import Flags, Ints
from fitsolver.mip.row_codes import Survivors
from fitsolver.mip.set_packing import Relaxation, SetPacking, set_packing_of

#: Separation stops after this many rounds of cuts that do not raise the bound.
_STALLED: Final = 4
_MOST_ROUNDS: Final = 30
#: Seconds for one relaxation.
_LONGEST: Final = 20.0
#: Bits available for sums.
_BITS: Final = 61
#: Above this number of columns, a row holds a level that is already proven.
_SOME: Final = 5_000


@dataclass(frozen=True, slots=True)
class CutBound:
    """No solution of the problem has an objective below `bound`.

    `problem` has the cuts that prove it, with `duals` (rows). `reduced` (columns) is the reduced
    cost of each column above the least of its job; `scaled` is the Lagrangian value. Duals, reduced
    costs and Lagrangian value are multiplied by `scale`.
    """

    problem: SetPacking
    bound: int
    duals: Ints
    reduced: Ints
    scaled: int
    scale: int

    @property
    def strength(self) -> tuple[int, float]:
        """The bound, and the Lagrangian value before it is rounded up."""
        return self.bound, self.scaled / self.scale

    @property
    def new_rows(self) -> Ints:
        """The rows with a nonzero dual that are not original rows of the instance."""
        own = np.flatnonzero(self.problem.units == 1)
        return np.setdiff1d(np.flatnonzero(self.duals), own)

    def nearest(self, most: int, count: int) -> int:
        """Return an objective value from the bound up to `most` for which fixing leaves at most
        `count` columns; None without one.
        """
        if len(self.reduced) <= count:
            return most
        beyond = int(np.partition(self.reduced, count)[count])
        least = -(-(self.scaled + beyond) // self.scale) - 1
        return min(most, max(self.bound, least))

    def spare(self, value: int) -> Ints:
        """Return (columns) the gap up to `value` less the reduced cost (scaled)."""
        return value * self.scale - self.scaled - self.reduced

    def unfixed(self, value: int) -> Flags:
        """Tell (columns) which columns may be in a solution of objective `value` or less."""
        return self.spare(value) >= 0

    def within(self, value: int) -> SetPacking:
        """Return the problem restricted to the columns that `unfixed` keeps."""
        return self.problem.only(self.unfixed(value))


def cut_bound(problem: SetPacking, bound: int, most: int, clock: Clock) -> CutBound:
    """Return the bound by cutting planes; ends as soon as it is above `most`.

    No solution is known to be below `bound`.
    """
    best = _proven(problem, np.zeros(len(problem.capacity), dtype=np.int64), 1)
    if problem.lacking:
        return replace(best, bound=most + problem.step)
    relaxation, stalled = Relaxation(problem, most - bound + problem.step), 0
    for _ in range(_MOST_ROUNDS):
        if clock.left == 0 or not relaxation.solve(clock.at_most(_LONGEST)):
            break
        found = _best(problem, relaxation.duals())
        stalled = 0 if found.bound > best.bound else stalled + 1
        best = max(found, best, key=lambda some: some.strength)
        if best.bound > most or stalled >= _STALLED:
            break
        coefs, capacity = gomory_cuts(problem, relaxation.values(), relaxation.inverse_rows())
        if not len(capacity):
            break
        problem = problem.with_cuts(coefs, capacity)
        relaxation.add_rows(problem)
    return best


def _best(problem: SetPacking, duals: NDArray[np.float64]) -> CutBound:
    # The finest scale at which sums over all jobs still fit.
    duals, most = with_room(duals, lambda some: _largest(problem, some))
    fine = fine_scale(most, _BITS)
    return max(
        (_proven(problem, *some) for some in integer_duals(duals, problem.equality, fine)),
        key=lambda found: found.strength,
    )


def _largest(problem: SetPacking, duals: NDArray[np.float64]) -> float:
    """Return an upper limit of every sum over jobs or rows."""
    sizes = np.abs(duals)
    column = float((problem.cost + sizes @ problem.coefs).max())
    return column * problem.jobs + float(sizes @ problem.capacity)


def _proven(problem: SetPacking, duals: Ints, scale: int) -> CutBound:
    """Return the bound that integer duals (multiplied by `scale`) prove."""
    priced = problem.cost * scale + duals @ problem.coefs
    least = problem.least_of_jobs(priced)
    scaled = int(least.sum()) - int(duals @ problem.capacity)
    bound = -(-scaled // (scale * problem.step)) * problem.step
    return CutBound(problem, bound, duals, priced - least[problem.job], scaled, scale)


@dataclass(frozen=True, slots=True)
class _Stage:
    """Every column in a solution of `most` or less, as far as `rows` tell them apart."""

    rows: frozenset[int]
    most: int
    found: CutBound

    def survivors(self, most: int) -> Survivors:
        left = self.found.within(most).columns
        return Survivors(self.rows, [(column.job, coefs) for column, _, coefs in left])


class Enumerations:
    """The columns within the gap of one level; the set of distinguished rows grows step by step.

    It starts with the rows that have a dual and the equality rows. The columns that survive the
    cutting planes of one enumeration are the only candidates of the next, which distinguishes more
    rows.
    """

    def __init__(self, dual: DualBound, level: int, clock: Clock) -> None:
        self.dual, self.level, self.clock = dual, level, clock
        instance = dual.priced.instance
        binding = np.flatnonzero((dual.duals != 0) | instance.equality).tolist()
        self.first = self.rows = frozenset(binding)
        self.stages: list[_Stage] = []

    def tell(self, rows: Iterable[int]) -> None:
        """Distinguish more rows from now on."""
        self.rows |= frozenset(rows)

    def within(self, most: int, count: int = MANY) -> CutBound | None:
        """Return the columns in solutions of `most` or less, with all rows told apart.

        None if there are more than `count`, or if the time ran out.
        """
        stage = self._last(most, count)
        if stage is not None and stage.rows != self.rows and stage.found.bound <= most:
            stage = self._enumerated(most, self.rows, stage.survivors(most), count)
        return None if stage is None else stage.found

    def proving(self, value: int) -> CutBound | None:
        """Return the columns in solutions of objective `value` or less, distinguishing only the
        rows needed to prove that value, where any prove it.

        None if they are not enumerated yet and too many, or if the time ran out.
        """
        stage = self._last(value, _SOME)
        proving = (each for each in self.stages if each.found.bound >= value)
        stage = next(proving, stage)
        return None if stage is None else stage.found

    def _last(self, most: int, count: int) -> _Stage | None:
        self.stages = [stage for stage in self.stages if stage.most >= most]
        return self.stages[-1] if self.stages else self._enumerated(most, self.first, None, count)

    def _enumerated(
        self, most: int, rows: frozenset[int], survivors: Survivors | None, count: int
    ) -> _Stage | None:
        priced, gap = self.dual.priced, self.dual.gap(most)
        found = columns_within(priced, self.level, gap, rows, self.clock, survivors, count)
        if found is None:
            return None
        problem = set_packing_of(priced.instance, found, rows)
        stage = _Stage(rows, most, cut_bound(problem, self.dual.bound, most, self.clock))
        self.stages.append(stage)
        return stage
