"""The options of a job in groups, such that a plan takes all its pistons from one group.

If all pistons of a plan must have one oversize, each oversize is a group; else all options form one
group. Small models are quick. A group whose least removal exceeds a known bound is never built.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from ortools.sat.python import cp_model

from fitsolver.base.deadline import Clock
from fitsolver.base.running import TimeOverError
from fitsolver.choices.types import Option
from fitsolver.records.base import Level
from fitsolver.records.plan import ObjectiveValue
from fitsolver.solving.extract import extract
from fitsolver.solving.levels import level_order
from fitsolver.solving.problem import Problem, narrow_model
from fitsolver.solving.search import Found, Search, limit
from fitsolver.solving.slots import Slot
from fitsolver.solving.solve import Solution
from fitsolver.solving.variables import Model

#: Farther than any axis goes.
NO_LIMIT: Final = 10**12
#: The value of every axis.
Values = tuple[int, ...]


def grouped(task: Problem, offered: Sequence[Sequence[Option]]) -> Iterator[list[list[Option]]]:
    """Yield the options of all cylinders, group by group; every plan is within one."""
    names = {cylinder.name for cylinder in task.cylinders}
    if not any(names <= set(rule.cylinders) for rule in task.job.same_size):
        yield [list(each) for each in offered]
        return
    sizes = [{_oversize(option) for option in each} for each in offered]
    for oversize in sorted(set.intersection(*sizes)):
        yield [[o for o in each if _oversize(o) == oversize] for each in offered]


def _oversize(option: Option) -> int:
    return option.piston.candidate.part.oversize


class Group:
    """One group: its least total removal (`floor`, ticks), and its best plans within limits.

    The limits apply to all axes but the first. Answers are cached, since many serve again. Every
    method raises TimeOverError where the time ends before the proof.
    """

    def __init__(
        self, task: Problem, offered: Sequence[Sequence[Option]], axes: Sequence[Level]
    ) -> None:
        self._task, self._offered, self._axes = task, offered, axes
        self.floor = sum(min(option.least_removal for option in each) for each in offered)
        self._known: list[tuple[Values, Values]] = []  # with the limits that were asked
        self._denied: list[Values] = []
        self._built = False
        self._model: Model | None = None
        self._search: Search | None = None
        self._held: list[cp_model.Constraint] = []
        self._restored = ObjectiveValue(level="restored", value=0, bound=0, proven=True)

    def least(self, limits: Values, clock: Clock) -> Values | None:
        """Return the least removal, then the least on each next axis, within limits; None: none."""
        if any(within(limits, denied) for denied in self._denied):
            return None
        for values, asked in self._known:
            if within(limits, asked) and within(values[1:], limits):
                return values  # the best within wider limits is within these too
        found = self._found(limits, self._axes, clock)
        if found is None:
            self._denied.append(limits)
            return None
        values = tuple(item.value for item in found.levels)
        self._known.append((values, limits))
        return values

    def fewest_restored(self, clock: Clock) -> int | None:
        """Return the fewest cylinders that must be restored; None: nothing fits."""
        found = self._found((NO_LIMIT,) * (len(self._axes) - 1), ("restored",), clock)
        return None if found is None else found.levels[0].value

    def restore(self, count: int) -> None:
        """Fix the number of restored cylinders to the least possible."""
        assert self._model is not None
        assert self._search is not None
        self._model.cp.add(self._search.named["restored"].expr == count)
        self._restored = self._restored.model_copy(update={"value": count, "bound": count})

    def whole(self, values: Values, clock: Clock) -> Solution:
        """Return the first plan in the job's order with these values."""
        assert self._search is not None
        order = level_order(self._task.job)
        rest = tuple(level for level in order if level not in {"restored", *self._axes})
        named = dict(self._search.named)
        for axis, value in zip(self._axes, values, strict=True):  # known: no need to prove it again
            self._search.named[axis] = Slot(named[axis].expr, value, value)
        try:
            found = self._found(values[1:], (*self._axes, *rest), clock)
        finally:
            self._search.named = named
        assert found is not None
        assert self._model is not None
        levels = (self._restored, *found.levels)
        return Solution(extract(self._model, found.solver), levels, settled=True)

    def _found(self, limits: Values, order: Sequence[Level], clock: Clock) -> Found | None:
        search = self._searching(clock)
        if search is None:
            return None
        for constraint, most in zip(self._held, limits, strict=True):
            limit(constraint, 0, most)
        search.order = tuple(order)
        outcome = search.first()
        if not outcome.settled or (outcome.found is not None and not outcome.found.proven):
            raise TimeOverError
        return outcome.found

    def _searching(self, clock: Clock) -> Search | None:
        """Return the search of this group's model; None: no rings serve its pistons."""
        if not self._built:
            self._built = True
            self._model = narrow_model(self._task, self._offered)
            if self._model is not None:
                search = self._search = Search(self._model, clock)
                self._held = [
                    self._model.cp.add_linear_constraint(search.named[axis].expr, 0, NO_LIMIT)
                    for axis in self._axes[1:]
                ]
        return self._search


def within(these: Sequence[int], limits: Sequence[int]) -> bool:
    """Tell whether nothing is above its limit."""
    return all(value <= most for value, most in zip(these, limits, strict=True))
