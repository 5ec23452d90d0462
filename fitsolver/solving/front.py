"""The Pareto front of total removal, rebuilds left, price and days.

The epsilon-constraint method, in order of removal: each search minimises removal within limits on
the other axes. Each point found splits the boxes of limits that contain it. Each part requires an
improvement on one axis. The search ends when no box is feasible.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from fitsolver.base.deadline import Clock
from fitsolver.base.running import TimeOverError
from fitsolver.choices.options import options
from fitsolver.choices.rebuilds import counted
from fitsolver.choices.types import Option
from fitsolver.records.base import Level
from fitsolver.solving.front_groups import NO_LIMIT, Group, Values, grouped, within
from fitsolver.solving.levels import level_order
from fitsolver.solving.problem import Problem
from fitsolver.solving.solve import Solution

#: The axes of the front, after the number of restored cylinders.
AXES: Final[tuple[Level, ...]] = ("total_removal", "rebuilds_left", "price", "days")


@dataclass(frozen=True, slots=True)
class Front:
    """Solutions in order of the axes, total removal first, each proven Pareto-optimal.

    `open_from` (ticks): further solutions have at least this total removal; None: the front is
    complete.
    """

    solutions: tuple[Solution, ...]
    open_from: int | None = None

    @property
    def complete(self) -> bool:
        """Tell whether there are no others."""
        return self.open_from is None


def front(task: Problem, clock: Clock | None = None) -> Front:
    """Return the best solution for every Pareto-optimal point on the axes.

    A plan beats another when it is no worse on any axis and better on one. Only plans with the
    fewest restored cylinders count: new metal is not a saving of removal. If the time or Ctrl-C
    ends the search before the proof, the points proven so far are returned.
    """
    clock = clock or Clock()
    axes = axes_of(task)
    kept: dict[Values, Solution] = {}
    boxes = [_Box((NO_LIMIT,) * (len(axes) - 1), (0,) * len(axes))]
    try:
        groups = _groups(task, axes, clock)
        while boxes:
            box = min(boxes, key=lambda box: box.bound)
            if box.groups is None:
                first = _sought(box, groups, clock)
                boxes = [other for other in boxes if other is not box] + first
            else:
                found = [group.whole(box.bound, clock) for group in box.groups]
                kept[box.bound] = _first(found, task)
                boxes = _split(boxes, box.bound)
    except (TimeOverError, KeyboardInterrupt):
        return Front(tuple(kept.values()), min(box.bound[0] for box in boxes))
    return Front(tuple(kept.values()))


@dataclass(frozen=True, slots=True)
class _Box:
    """Limits on all axes but the first; `bound` is a lower bound on the points within.

    After a search `bound` is the first point within, and `groups` are those that contain it.
    """

    limits: Values
    bound: Values
    groups: tuple[Group, ...] | None = None


def _sought(box: _Box, groups: Sequence[Group], clock: Clock) -> list[_Box]:
    """Return the box with the first point within; None without one."""
    best: Values | None = None
    found: list[Group] = []
    for group in groups:  # the least removal first
        if best is not None and group.floor > best[0]:
            break
        values = group.least(box.limits, clock)
        if values is None or (best is not None and values > best):
            continue
        found = [*found, group] if values == best else [group]
        best = values
    return [] if best is None else [_Box(box.limits, best, tuple(found))]


def _split(boxes: Sequence[_Box], point: Values) -> list[_Box]:
    """Return the boxes without the region dominated by a point, none of them inside another."""
    left = [box for box in boxes if not within(point[1:], box.limits)]
    for box in boxes:
        if not within(point[1:], box.limits):
            continue
        for place, value in enumerate(point[1:]):
            limits = (*box.limits[:place], value - 1, *box.limits[place + 1 :])
            if value and not any(within(limits, other.limits) for other in left):
                left.append(_Box(limits, box.bound))
    return left


def _first(solutions: Sequence[Solution], task: Problem) -> Solution:
    """Return the first plan in the job's order, with the levels of that order."""
    order = level_order(task.job)
    best = min(solutions, key=lambda solution: _place(solution, order))
    levels = tuple(item for item in best.levels if item.level in order)
    return Solution(best.selection, levels, settled=True)


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


def _place(solution: Solution, order: Sequence[Level]) -> list[Any]:
    """Return the sort key of plans with different pistons and equal axes."""
    assert solution.selection is not None
    value: dict[str, Any] = {item.level: item.value for item in solution.levels}
    value["part_number"] = [
        chosen.option.piston.candidate.key for chosen in solution.selection.cylinders
    ]
    return [value[level] for level in order]
