"""Lexicographic solve: each level is settled before the next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from ortools.sat.python import cp_model

from fitsolver.base.deadline import Clock
from fitsolver.base.running import heard, one_worker
from fitsolver.records.base import Level
from fitsolver.records.plan import ObjectiveValue
from fitsolver.solving.levels import level_order, level_slot, part_number_slots
from fitsolver.solving.minimising import SMALL, Minimiser
from fitsolver.solving.slots import Slot, groups
from fitsolver.solving.terms import total
from fitsolver.solving.variables import Model

#: Farther than any slot goes.
_ANYTHING: Final = 10**15


@dataclass(frozen=True, slots=True)
class Found:
    """The best solution found, as the solver holds it, and every level."""

    solver: cp_model.CpSolver
    levels: tuple[ObjectiveValue, ...]

    @property
    def proven(self) -> bool:
        return all(level.proven for level in self.levels)


@dataclass(frozen=True, slots=True)
class Outcome:
    """`found` None with `settled`: nothing fits; else no plan was found in time."""

    found: Found | None
    settled: bool


def new_solver(model: Model, seconds: float | None = None) -> cp_model.CpSolver:
    """Return a solver with one worker and a fixed seed: same input, same bytes.

    Presolving a small model takes longer than solving it; in a large one the linear
    relaxation of all constraints pays (see docs/benchmarks.md).
    """
    solver = one_worker(cp_model.CpSolver(), seconds)
    if len(model.cp.proto.variables) < SMALL:
        solver.parameters.cp_model_presolve = False
    else:
        solver.parameters.linearization_level = 2
        solver.parameters.symmetry_level = 0
        solver.parameters.cp_model_probing_level = 0
    return solver


@dataclass(frozen=True, slots=True)
class _Held:
    """Slots of a level that are settled together, and the constraints that hold them there."""

    level: Level
    slots: Sequence[Slot]
    values: tuple[int, ...]
    constraints: tuple[cp_model.Constraint, ...]

    def at_least(self) -> None:
        """Hold the first slot at or above its value."""
        limit(self.constraints[0], self.values[0], _ANYTHING)

    def release(self) -> None:
        for constraint in self.constraints:
            limit(constraint, -_ANYTHING, _ANYTHING)


def limit(constraint: cp_model.Constraint, least: int, most: int) -> None:
    """Give a linear constraint other limits."""
    domain = constraint.proto.linear.domain
    domain.clear()
    domain.extend([least, most])


class Search(Minimiser):
    """A search that can go on: `first` finds the best solution, `again` the next one.

    `again` needs a model with new constraints that the last solution violates. Both raise
    KeyboardInterrupt on Ctrl-C without a solution. A search ends with an outcome that is not
    proven.
    """

    def __init__(self, model: Model, clock: Clock) -> None:
        super().__init__(model.cp, clock)
        self.model = model
        self.order = level_order(model.job)
        self.named: dict[Level, Slot] = {
            level: level_slot(model, level) for level in self.order if level != "part_number"
        }
        self.done: dict[Level, ObjectiveValue] = {}
        self.held: list[_Held] = []
        self.parts_only = False

    def first(self, *, parts_only: bool = False) -> Outcome:
        """Return the best solution, with all held levels released; `parts_only` as in `again`."""
        for held in self.held:
            held.release()
        self.held.clear()
        self.done.clear()
        self.parts_only = parts_only
        self.best, self.none = None, False
        with heard(self.clock.interrupt):
            return self._run()

    def again(self) -> Outcome:
        """Return the best solution of the model with its new constraints, parts only.

        In lexicographic order it follows the last solution: it agrees up to some level and is
        larger there. So levels are released from the last one upwards until a solution exists.
        Sizes and purchases that only the level `part_number` distinguishes stay open.
        """
        self.parts_only = True
        with heard(self.clock.interrupt):
            while self.held:
                released = self._release_level()
                if "part_number" in self.done:
                    continue  # with all parts held no other solution exists
                self.best, self.none = None, False
                outcome = self._run()
                released.release()
                if outcome.found is not None or not outcome.settled:
                    return outcome
        return Outcome(None, settled=True)

    def _release_level(self) -> _Held:
        """Release the last level but for its first slot, which may only grow; return that."""
        level = self.held[-1].level
        released = [held for held in self.held if held.level == level]
        del self.held[-len(released) :]
        for held in released:
            held.release()
        del self.done[level]
        if "part_number" not in self.done:
            released[0].at_least()
        return released[0]

    def _run(self) -> Outcome:
        """Settle all levels that are not done."""
        order, named, done = self.order, self.named, self.done
        for level in order:
            if level in done:
                continue
            self.clock.tell(level.replace("_", " "))
            slots = [named[level]] if level != "part_number" else self._part_number_slots(done)
            bound = self._settle(level, slots)
            if self.best is None:
                if self.clock.interrupted:
                    raise KeyboardInterrupt
                return Outcome(None, self.none)
            value = 0 if level == "part_number" else self._value(slots[0])
            done[level] = ObjectiveValue(
                level=level,
                value=value,
                bound=0 if level == "part_number" or bound is None else bound,
                proven=bound is not None and (level == "part_number" or bound == value),
            )
            if not done[level].proven:
                break
        if not all(item.proven for item in done.values()):
            self._buy_least(named)
        for level, slot in named.items():  # not reached: known by value only
            if level not in done:
                done[level] = ObjectiveValue(
                    level=level, value=self._value(slot), bound=0, proven=False
                )
        if "part_number" not in done:
            done["part_number"] = ObjectiveValue(
                level="part_number", value=0, bound=0, proven=False
            )
        levels = tuple(done[level] for level in order)
        assert self.best is not None
        return Outcome(Found(self.best, levels), settled=True)

    def _buy_least(self, named: Mapping[Level, Slot]) -> None:
        """Minimise the purchases with all choices fixed.

        A search broken off before the price was settled may contain unused purchases. With all
        choices fixed this takes moments, so it has no time limit.
        """
        assert self.best is not None
        for variable in self.model.choices():
            self.model.cp.add(variable == self.best.value(variable))
        bought = [(1, v) for supply in self.model.supply() for v in (supply.stock, supply.ordered)]
        pieces = Slot(
            total(bought), 0, sum(s.most_stock + s.most_ordered for s in self.model.supply())
        )
        for slot in (named["price"], named["days"], pieces):
            self._solve([slot], limited=False)
            self.model.cp.add(slot.expr == self._value(slot))

    def _part_number_slots(self, done: dict[Level, ObjectiveValue]) -> list[Slot]:
        largest = done.get("largest_removal")
        slots = part_number_slots(self.model, None if largest is None else largest.value)
        return [slot for slot in slots if slot.decides or not self.parts_only]

    def _settle(self, level: Level, slots: Sequence[Slot]) -> int | None:
        """Minimise the slots lexicographically and hold them at their values.

        Groups of the level that are held already stay so. Returns the proven bound of the first
        slot, or None when the proof was not finished for several slots.
        """
        bound: int | None = None
        if self.best is None and not slots:
            slots = [Slot(total([]), 0, 1)]
        settled = sum(held.level == level for held in self.held)
        for group in list(groups(slots))[settled:]:
            if self.best is not None and all(self._value(s) == s.low for s in group):
                bound = group[0].low
            else:
                bound, proven = self._solve(group)
                if not proven:
                    return bound if len(slots) == 1 else None
            self._hold(level, group)
        return 0 if bound is None else bound

    def _hold(self, level: Level, group: Sequence[Slot]) -> None:
        values = tuple(self._value(slot) for slot in group)
        constraints = tuple(
            self.model.cp.add_linear_constraint(slot.expr, value, value)
            for slot, value in zip(group, values, strict=True)
        )
        self.held.append(_Held(level, group, values, constraints))

    def _solve(self, group: Sequence[Slot], *, limited: bool = True) -> tuple[int | None, bool]:
        """Solve for a group of slots; returns the first slot's bound, and whether it is proven."""
        solver = new_solver(self.model, self.clock.left if limited else None)
        return self.least_in_order(group, solver)

    def _value(self, slot: Slot) -> int:
        assert self.best is not None
        return self.best.value(slot.expr)
