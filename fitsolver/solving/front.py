"""The front between total removal, rebuilds left, price and days: every plan that none beats.

The epsilon-constraint method: the least removal is sought again and again with less of the next
axis allowed each time, all of that again with less of the axis after it, until nothing fits.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

from ortools.sat.python import cp_model

from fitsolver.base.deadline import Clock
from fitsolver.choices.options import options
from fitsolver.choices.rebuilds import counted
from fitsolver.records.base import Level
from fitsolver.records.plan import ObjectiveValue
from fitsolver.solving.extract import extract
from fitsolver.solving.levels import level_order
from fitsolver.solving.problem import Problem, narrow_model
from fitsolver.solving.search import Search, limit
from fitsolver.solving.solve import Solution
from fitsolver.solving.variables import Model

#: What is weighed against each other, after the number of restored cylinders.
AXES: Final[tuple[Level, ...]] = ("total_removal", "rebuilds_left", "price", "days")
_NO_LIMIT: Final = 10**12


@dataclass(frozen=True, slots=True)
class Front:
    """Solutions in order of the axes, total removal first; `complete`: there are no others."""

    solutions: tuple[Solution, ...]
    complete: bool


def front(task: Problem, clock: Clock | None = None) -> Front:
    """Return the best solution for every point on the axes that no other plan beats.

    A plan beats another when it is no worse on any axis and better on one. Only plans that
    restore as few cylinders as possible count: new metal is no removal saved. Where the time ends
    before the proof, what is known by then is returned and is not complete.
    """
    everything = [options(cylinder) for cylinder in task.cylinders]
    axes = axes_of(task)
    model = narrow_model(_by_axes(task, axes), everything) if all(everything) else None
    if model is None:
        return Front((), complete=True)
    search = Search(model, clock or Clock())
    held = [
        model.cp.add_linear_constraint(search.named[axis].expr, 0, _NO_LIMIT) for axis in axes[1:]
    ]
    walk = _Walk(model, search, axes, level_order(task.job), held)
    try:
        points = {point.values: point.solution for point in walk.points([_NO_LIMIT] * len(held))}
    except KeyboardInterrupt:
        if not walk.solved:
            raise
        points, walk.broken_off = {p.values: p.solution for p, _ in walk.solved}, True
    return Front(tuple(points[values] for values in sorted(points)), not walk.broken_off)


def axes_of(task: Problem) -> tuple[Level, ...]:
    """Return the axes of a job's front: without rebuilds left where they cannot be counted."""
    if counted(task.job, task.catalogue):
        return AXES
    return tuple(axis for axis in AXES if axis != "rebuilds_left")


def _by_axes(task: Problem, axes: Sequence[Level]) -> Problem:
    """Return the problem with restored cylinders and the axes first in what is best."""
    first: tuple[Level, ...] = ("restored", *axes)
    rest = tuple(level for level in level_order(task.job) if level not in first)
    job = task.job.model_copy(update={"best": (*first, *rest)})
    return Problem(job, task.catalogue, task.shelf, task.cylinders)


@dataclass(frozen=True, slots=True)
class _Point:
    values: tuple[int, ...]
    solution: Solution


@dataclass(slots=True)
class _Walk:
    """Solved questions are remembered with their limits: many answers serve again.

    `order` are the levels of the job, `held` the limits of all axes but the first. `solved` holds
    a point with the limits that it was sought within; `settled` the level of restored cylinders,
    once it is the same for every further point.
    """

    model: Model
    search: Search
    axes: Sequence[Level]
    order: Sequence[Level]
    held: Sequence[cp_model.Constraint]
    settled: tuple[ObjectiveValue, ...] = ()
    solved: list[tuple[_Point, tuple[int, ...]]] = field(default_factory=list)
    broken_off: bool = False

    def points(self, limits: Sequence[int], free: int | None = None) -> Iterator[_Point]:
        """Yield the points of the front within limits, some more than once.

        The limits of the first `free` axes after removal (None: of all) are lowered one within
        the other. With one limit as it is, all points are found that no other beats on the axes
        before it; nothing changes until it is lower than the largest of these. Ends early when
        `broken_off`.
        """
        free = len(limits) if free is None else free
        if free == 0:
            point = self._least(tuple(limits))
            if point is not None:
                yield point
            return
        allowed = list(limits)
        while allowed[free - 1] >= 0:
            largest = -1
            for point in self.points(allowed, free - 1):
                yield point
                largest = max(largest, point.values[free])
            if self.broken_off or largest < 0:
                return
            allowed[free - 1] = largest - 1

    def _least(self, limits: tuple[int, ...]) -> _Point | None:
        """Return the point of least removal, then of the least on each next axis, within limits."""
        for point, most in self.solved:
            rest = zip(point.values[1:], limits, most, strict=True)
            if all(value <= now <= then for value, now, then in rest):
                return point  # the best within wider limits is within these too
        for constraint, most_allowed in zip(self.held, limits, strict=True):
            limit(constraint, 0, most_allowed)
        outcome = self.search.first()
        if outcome.found is None or not outcome.found.proven:
            self.broken_off = outcome.found is not None or not outcome.settled
            return None
        levels = (*self.settled, *outcome.found.levels)
        value = {item.level: item.value for item in levels}
        if not self.solved:  # what is restored for want of money or time is off the front
            self.model.cp.add(self.search.named["restored"].expr == value["restored"])
            self.settled = levels[:1]
            self.search.order = self.search.order[1:]
        own = tuple(item for item in levels if item.level in self.order)
        solution = Solution(extract(self.model, outcome.found.solver), own, settled=True)
        point = _Point(tuple(value[axis] for axis in self.axes), solution)
        self.solved.append((point, limits))
        return point
