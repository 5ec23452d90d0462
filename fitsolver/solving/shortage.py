"""The fewest pieces, beyond those left on the shelf, with which a job could be done."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Final, NamedTuple

from ortools.sat.python import cp_model

from fitsolver.base.deadline import Clock
from fitsolver.base.running import run
from fitsolver.choices.types import Option
from fitsolver.solving.levels import level_slot
from fitsolver.solving.problem import Problem, narrow_model
from fitsolver.solving.settling import timed_solver
from fitsolver.solving.terms import Expr

#: More than any job takes of a number.
MUCH: Final = 10_000


class Shortage:
    """A model with a shortage variable for each number, and its minimisation."""

    def __init__(self) -> None:
        self.cp = cp_model.CpModel()
        self.more: dict[str, cp_model.IntVar] = {}

    @property
    def numbers(self) -> list[str]:
        """The numbers with a shortage variable."""
        return sorted(self.more)

    def least(self, of: Iterable[str], clock: Clock) -> dict[str, int] | None:
        """Return the fewest extra pieces that make the job feasible.

        None: infeasible, or the clock ended first.
        """
        of = set(of)
        for number, variable in self.more.items():
            domain = variable.proto.domain
            domain.clear()
            domain.extend([0, MUCH if number in of else 0])
        numbers = [number for number in self.numbers if number in of]
        # The fewest pieces; ties go to the first numbers.
        much = 1 + MUCH * len(numbers)
        self.cp.minimize(
            cp_model.LinearExpr.weighted_sum(
                [self.more[number] for number in numbers],
                [much + rank for rank in range(len(numbers))],
            )
        )
        solver = timed_solver(clock)
        solver.parameters.cp_model_presolve = False
        if run(solver, self.cp, lambda: clock.interrupted) != cp_model.OPTIMAL:
            return None
        return {n: count for n in numbers if (count := solver.value(self.more[n]))}

    def _may_lack(self, number: str) -> cp_model.IntVar:
        self.more[number] = self.cp.new_int_var(0, 0, "")
        return self.more[number]


class Taken(NamedTuple):
    """Parts that a cylinder can take from the shelf and out of kits, and their price."""

    hard: tuple[str, ...]
    from_kits: tuple[str, ...]
    price: int


class KitsBought(NamedTuple):
    """A kit bought up to `most` times; `hard`: it comes from the shelf."""

    number: str
    most: int
    price: int
    hard: bool
    contents: Sequence[tuple[str, int]]


class Way(NamedTuple):
    """One way to do a job: what every cylinder may take, and the kits that bring it."""

    cylinders: Sequence[Sequence[Taken]]
    kits: Sequence[KitsBought]


class WaysShortage(Shortage):
    """The shortage of a job that takes one of the given ways; it has no sizes."""

    def __init__(
        self, ways: Iterable[Way], counts: Mapping[str, int], budget: int | None = None
    ) -> None:
        """`counts` holds the remaining pieces of each number; `budget` limits the price."""
        super().__init__()
        self.taken: dict[str, list[Expr]] = defaultdict(list)
        self.paid: list[Expr] = []
        self.cp.add_exactly_one([self._way(way) for way in ways])
        if budget is not None:
            self.cp.add(cp_model.LinearExpr.sum(self.paid) <= budget)
        for number, uses in self.taken.items():
            more = self._may_lack(number)
            self.cp.add(cp_model.LinearExpr.sum(uses) <= counts[number] + more)

    def _way(self, way: Way) -> cp_model.IntVar:
        is_it = self.cp.new_bool_var("")
        brought: dict[str, list[Expr]] = defaultdict(list)
        for kinds in way.cylinders:
            variables = [self.cp.new_bool_var("") for _ in kinds]
            self.cp.add(cp_model.LinearExpr.sum(variables) == is_it)
            for kind, variable in zip(kinds, variables, strict=True):
                self.paid.append(kind.price * variable)
                for number, count in Counter(kind.hard).items():
                    self.taken[number].append(count * variable)
                for number, count in Counter(kind.from_kits).items():
                    brought[number].append(count * variable)
        brings: dict[str, list[Expr]] = defaultdict(list)
        for kit in way.kits:
            pieces = self.cp.new_int_var(0, kit.most, "")
            self.cp.add(pieces <= kit.most * is_it)
            self.paid.append(kit.price * pieces)
            if kit.hard:
                self.taken[kit.number].append(pieces)
            for number, count in kit.contents:
                brings[number].append(count * pieces)
        for number, uses in brought.items():
            self.cp.add(cp_model.LinearExpr.sum(uses) <= cp_model.LinearExpr.sum(brings[number]))
        return is_it


class JobShortage(Shortage):
    """The shortage of any job, by its whole model. `task` holds `MUCH` extra of each."""

    def __init__(
        self, task: Problem, options: Sequence[Sequence[Option]], left: Mapping[str, int]
    ) -> None:
        super().__init__()
        model = narrow_model(task, options, cp=self.cp) if all(options) else None
        self.possible = model is not None
        for supply in [] if model is None else model.supply():
            number = supply.sold.number
            self.cp.add(supply.stock <= left[number] + self._may_lack(number))

    def least(self, of: Iterable[str], clock: Clock) -> dict[str, int] | None:
        return super().least(of, clock) if self.possible else None


def fewest_days(task: Problem, options: Sequence[Sequence[Option]], clock: Clock) -> int | None:
    """Return the fewest days of a job; None: no plan, or the clock ended first."""
    cp = cp_model.CpModel()
    model = narrow_model(task, options, cp=cp) if all(options) else None
    if model is None:
        return None
    days = level_slot(model, "days").expr
    cp.minimize(days)
    solver = timed_solver(clock)
    if run(solver, cp, lambda: clock.interrupted) != cp_model.OPTIMAL:
        return None
    return solver.value(days)
