"""The front between total removal, price and days: every plan that none beats in all three.

The epsilon-constraint method: the least removal is sought again and again with a lower price
allowed each time, and all of that again with fewer days allowed, until nothing fits.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

from ortools.sat.python import cp_model

from fitsolver.options import options
from fitsolver.records.base import Level
from fitsolver.records.plan import ObjectiveValue
from fitsolver.solving.extract import extract
from fitsolver.solving.levels import level_order
from fitsolver.solving.problem import Problem, narrow_model
from fitsolver.solving.search import Clock, Search, limit
from fitsolver.solving.solve import Solution
from fitsolver.solving.variables import Model

#: What is weighed against each other, after the number of restored cylinders.
AXES: Final[tuple[Level, Level, Level]] = ("total_removal", "price", "days")
_NO_LIMIT: Final = 10**12


@dataclass(frozen=True, slots=True)
class Front:
    """Solutions in order of total removal; `complete`: there are no others."""

    solutions: tuple[Solution, ...]
    complete: bool


def front(task: Problem, clock: Clock | None = None) -> Front:
    """Return the best solution for every (removal, price, days) that no other plan beats.

    A plan beats another when it is no worse in any of the three and better in one. Only plans
    that restore as few cylinders as possible count: new metal is no removal saved. Where the time
    ends before the proof, what is known by then is returned and is not complete.
    """
    everything = [options(cylinder) for cylinder in task.cylinders]
    model = narrow_model(_by_axes(task), everything) if all(everything) else None
    if model is None:
        return Front((), complete=True)
    walk = _Walk(
        model,
        Search(model, clock or Clock()),
        price_limit=model.cp.add_linear_constraint(model.price, 0, _NO_LIMIT),
        days_limit=model.cp.add_linear_constraint(model.days, 0, _NO_LIMIT),
    )
    try:
        points = {point.values: point.solution for point in walk.points()}
    except KeyboardInterrupt:
        if not walk.solved:
            raise
        points, walk.broken_off = {p.values: p.solution for p, _, _ in walk.solved}, True
    return Front(tuple(points[values] for values in sorted(points)), not walk.broken_off)


def _by_axes(task: Problem) -> Problem:
    """Return the problem with restored cylinders and the axes first in what is best."""
    first: tuple[Level, ...] = ("restored", *AXES)
    rest = tuple(level for level in level_order(task.job) if level not in first)
    job = task.job.model_copy(update={"best": (*first, *rest)})
    return Problem(job, task.catalogue, task.shelf, task.cylinders)


@dataclass(frozen=True, slots=True)
class _Point:
    values: tuple[int, int, int]
    solution: Solution


@dataclass(slots=True)
class _Walk:
    """Solved questions are remembered with their limits: many answers serve again.

    `solved` holds a point with the price and the days that it was sought within; `settled` the
    level of restored cylinders, once it is the same for every further point.
    """

    model: Model
    search: Search
    price_limit: cp_model.Constraint
    days_limit: cp_model.Constraint
    settled: tuple[ObjectiveValue, ...] = ()
    solved: list[tuple[_Point, int, int]] = field(default_factory=list)
    broken_off: bool = False

    def points(self) -> Iterator[_Point]:
        """Yield the points of the front, some more than once; ends early when `broken_off`.

        With at most so many days the least removal is found for every price that is worth it.
        Nothing changes until fewer days are allowed than the slowest of these plans takes.
        """
        days: int = _NO_LIMIT
        while days >= 0:
            price, slowest = _NO_LIMIT, -1
            while (point := self._least(price, days)) is not None:
                yield point
                _, cost, took = point.values
                price, slowest = cost - 1, max(slowest, took)
            if self.broken_off or slowest < 0:
                return
            days = slowest - 1

    def _least(self, price: int, days: int) -> _Point | None:
        """Return the point of least removal, then price, then days within the limits."""
        if price < 0:
            return None
        for point, most, latest in self.solved:
            _, cost, took = point.values
            if cost <= price <= most and took <= days <= latest:
                return point  # the best within wider limits is within these too
        limit(self.price_limit, 0, price)
        limit(self.days_limit, 0, days)
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
        axes = value[AXES[0]], value[AXES[1]], value[AXES[2]]
        solution = Solution(extract(self.model, outcome.found.solver), levels, settled=True)
        self.solved.append((_Point(axes, solution), price, days))
        return self.solved[-1][0]
