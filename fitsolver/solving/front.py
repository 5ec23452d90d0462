"""The front between total removal, rebuilds left, price and days: every plan that none beats.

The epsilon-constraint method: the least removal is sought again and again with less of the next
axis allowed each time, all of that again with less of the axis after it, until nothing fits.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from fitsolver.base.deadline import Clock
from fitsolver.base.running import TimeOverError
from fitsolver.choices.options import options
from fitsolver.choices.rebuilds import counted
from fitsolver.choices.types import Option
from fitsolver.records.base import Level
from fitsolver.solving.front_groups import NO_LIMIT, Group, Values, grouped
from fitsolver.solving.levels import level_order
from fitsolver.solving.problem import Problem
from fitsolver.solving.solve import Solution

#: What is weighed against each other, after the number of restored cylinders.
AXES: Final[tuple[Level, ...]] = ("total_removal", "rebuilds_left", "price", "days")


@dataclass(frozen=True, slots=True)
class Front:
    """Solutions in order of the axes, total removal first, each proven to be beaten by none.

    `open` is None where there are no others; else others may be at most so much on *all* axes
    after total removal (None: no limit on that axis), and nowhere else. With rebuilds left the
    number is of those that a plan falls short of the most.
    """

    solutions: tuple[Solution, ...]
    open: tuple[int | None, ...] | None = None

    @property
    def complete(self) -> bool:
        """Tell whether there are no others."""
        return self.open is None


def front(task: Problem, clock: Clock | None = None) -> Front:
    """Return the best solution for every point on the axes that no other plan beats.

    A plan beats another when it is no worse on any axis and better on one. Only plans that
    restore as few cylinders as possible count: new metal is no removal saved. Where the time ends
    before the proof, or Ctrl-C ends it, what is proven by then is returned, and what is open.
    """
    clock = clock or Clock()
    axes = axes_of(task)
    walk = _Walk(task, clock, [NO_LIMIT] * (len(axes) - 1))
    try:
        walk.groups = _groups(task, axes, clock)
        for values in walk.points(walk.limits):
            walk.keep(values)
    except (TimeOverError, KeyboardInterrupt):
        left = tuple(None if most >= NO_LIMIT else most for most in walk.limits)
        return Front(walk.in_order(), left)
    return Front(walk.in_order())


def axes_of(task: Problem) -> tuple[Level, ...]:
    """Return the axes of a job's front: without rebuilds left where they cannot be counted."""
    if counted(task.job, task.catalogue):
        return AXES
    return tuple(axis for axis in AXES if axis != "rebuilds_left")


def _groups(task: Problem, axes: Sequence[Level], clock: Clock) -> list[Group]:
    """Return the groups that restore as few cylinders as possible, the least removal first.

    Most jobs restore none: then no group holds an option that does.
    """
    everything = [options(cylinder) for cylinder in task.cylinders]
    weighed = _by_axes(task, axes)
    none = [[option for option in each if not _restores(option)] for each in everything]
    groups = _made(weighed, none, axes)
    no_limits = (NO_LIMIT,) * (len(axes) - 1)
    if any(group.least(no_limits, clock) is not None for group in groups):
        return groups
    groups = _made(weighed, everything, axes)
    fewest = [(group, group.fewest_restored(clock)) for group in groups]
    least = min((count for _, count in fewest if count is not None), default=0)
    groups = [group for group, count in fewest if count == least]
    for group in groups:
        group.restore(least)
    return groups


def _made(task: Problem, offered: Sequence[Sequence[Option]], axes: Sequence[Level]) -> list[Group]:
    if not all(offered):
        return []
    groups = [Group(task, each, axes) for each in grouped(task, offered) if all(each)]
    return sorted(groups, key=lambda group: group.floor)


def _restores(option: Option) -> bool:
    return option.route.route.kind == "restore"


def _by_axes(task: Problem, axes: Sequence[Level]) -> Problem:
    """Return the problem with restored cylinders and the axes first in what is best."""
    first: tuple[Level, ...] = ("restored", *axes)
    rest = tuple(level for level in level_order(task.job) if level not in first)
    job = task.job.model_copy(update={"best": (*first, *rest)})
    return Problem(job, task.catalogue, task.shelf, task.cylinders)


@dataclass(slots=True)
class _Walk:
    """The way along the front: `limits` are those within which the next point is sought."""

    task: Problem
    clock: Clock
    limits: Sequence[int]
    groups: Sequence[Group] = ()
    best_in: dict[Values, list[Group]] = field(default_factory=dict)
    kept: dict[Values, Solution] = field(default_factory=dict)

    def points(self, limits: Sequence[int], free: int | None = None) -> Iterator[Values]:
        """Yield the points of the front within limits, some more than once.

        The limits of the first `free` axes after removal (None: of all) are lowered one within
        the other. With one limit as it is, all points are found that no other beats on the axes
        before it; nothing changes until it is lower than the largest of these.
        """
        free = len(limits) if free is None else free
        if free == 0:
            values = self._least(tuple(limits))
            if values is not None:
                yield values
            return
        allowed = list(limits)
        while allowed[free - 1] >= 0:
            largest = -1
            for values in self.points(allowed, free - 1):
                yield values
                largest = max(largest, values[free])
            if largest < 0:
                return
            allowed[free - 1] = largest - 1

    def _least(self, limits: Values) -> Values | None:
        """Return the point of least removal, then of the least on each next axis, within limits."""
        self.limits = limits
        best: Values | None = None
        for group in self.groups:  # the least removal first
            if best is not None and group.floor > best[0]:
                break
            values = group.least(limits, self.clock)
            if values is None or (best is not None and values > best):
                continue
            if group not in self.best_in.setdefault(values, []):
                self.best_in[values].append(group)
            best = values
        return best

    def keep(self, values: Values) -> None:
        """Keep the plan of a point; of several the one that comes first in the job's order."""
        if values not in self.kept:
            order = level_order(self.task.job)
            found = [group.whole(values, self.clock) for group in self.best_in[values]]
            best = min(found, key=lambda solution: _place(solution, order))
            own = tuple(item for item in best.levels if item.level in order)
            self.kept[values] = Solution(best.selection, own, settled=True)

    def in_order(self) -> tuple[Solution, ...]:
        """Return the plans kept, in order of the axes."""
        return tuple(self.kept[values] for values in sorted(self.kept))


def _place(solution: Solution, order: Sequence[Level]) -> list[Any]:
    """Return what plans of different pistons with the same axes are put in order by."""
    assert solution.selection is not None
    value: dict[str, Any] = {item.level: item.value for item in solution.levels}
    value["part_number"] = [
        chosen.option.piston.candidate.key for chosen in solution.selection.cylinders
    ]
    return [value[level] for level in order]
