"""Levels of one CP-SAT model, settled one after the other and held."""

from __future__ import annotations

from collections.abc import Sequence

from ortools.sat.python import cp_model

from fitsolver.base.deadline import Clock
from fitsolver.base.running import one_worker
from fitsolver.solving.minimising import SMALL, Minimiser
from fitsolver.solving.slots import Slot, groups
from fitsolver.solving.terms import Expr


def timed_solver(clock: Clock) -> cp_model.CpSolver:
    """Return a solver of one worker that stops when the clock does."""
    solver = one_worker(cp_model.CpSolver(), clock.left)
    solver.parameters.linearization_level = 2
    return solver


class Levels(Minimiser):
    """Minimises non-negative expressions in order (lexicographically)."""

    def __init__(self, cp: cp_model.CpModel, clock: Clock) -> None:
        super().__init__(cp, clock)
        self.levels: list[Expr] = []
        self.bounds: list[int | None] = []
        self.open = True

    def settle(self, name: str, level: Expr) -> bool:
        """Minimise a level and hold it; after an unproven level no more are settled."""
        self.levels.append(level)
        if not self.open:
            self.bounds.append(None)
            return False
        if name:
            self.clock.tell(name)
        bound = self._bound(level)
        self.bounds.append(bound)
        if self.best is None or bound != self.best.value(level):
            self.open = False
            return False
        self.cp.add(level == bound)
        return True

    def settle_all(self, names: Sequence[str], slots: Sequence[Slot]) -> None:
        """Settle named levels in order, several in one solve within the range of 64-bit sums."""
        left = iter(names)
        for group in groups(slots):
            proven = len(group) > 1 and self.open and self.least_in_order(group, self._solver())[1]
            for slot, name in zip(group, left, strict=False):
                if proven and self.best is not None:
                    value = self.best.value(slot.expr)
                    self.levels.append(slot.expr)
                    self.bounds.append(value)
                    self.cp.add(slot.expr == value)
                else:
                    self.settle(name, slot.expr)

    def values(self) -> tuple[int, ...]:
        """Return every level's value in the best solution, which must be there."""
        assert self.best is not None
        return tuple(self.best.value(level) for level in self.levels)

    def _bound(self, level: Expr) -> int:
        """Look for the least value of a level; returns its proven bound."""
        if self.best is not None and self.best.value(level) == 0:
            return 0
        return max(0, self.least(level, self._solver()) or 0)

    def _solver(self) -> cp_model.CpSolver:
        solver = timed_solver(self.clock)
        if len(self.cp.proto.variables) < SMALL:
            solver.parameters.cp_model_presolve = False
            solver.parameters.linearization_level = 1
        return solver
