"""Levels of one CP-SAT model, settled one after the other and held."""

from __future__ import annotations

from collections.abc import Sequence

from ortools.sat.python import cp_model

from fitsolver.base.deadline import Clock
from fitsolver.base.running import one_worker
from fitsolver.solving.minimising import SMALL, Minimiser
from fitsolver.solving.terms import Expr


def timed_solver(clock: Clock) -> cp_model.CpSolver:
    """Return a solver of one worker that stops when the clock does."""
    solver = one_worker(cp_model.CpSolver(), clock.left)
    solver.parameters.linearization_level = 2
    return solver


class Levels(Minimiser):
    """Makes one expression after the other smallest, none of which is ever below 0."""

    def __init__(self, cp: cp_model.CpModel, clock: Clock) -> None:
        super().__init__(cp, clock)
        self.levels: list[Expr] = []
        self.bounds: list[int | None] = []
        self.open = True

    def settle(self, name: str, level: Expr) -> bool:
        """Make a level smallest and hold it; once one is left open, no more are settled."""
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

    def settle_all(self, levels: Sequence[tuple[str, Expr, int]]) -> None:
        """Settle levels, each with its words and the most it comes to, in one solve if it ends."""
        if not levels:
            return
        weight, weights = 1, list[int]()
        for _, _, most in reversed(levels):
            weights.insert(0, weight)
            weight *= most + 1
        self.clock.tell(levels[0][0])
        together = cp_model.LinearExpr.weighted_sum([level for _, level, _ in levels], weights)
        bound = self._bound(together)
        best = self.best if self.best and bound == self.best.value(together) else None
        for words, level, _ in levels:
            if best is not None:
                value = best.value(level)
                self.levels.append(level)
                self.bounds.append(value)
                self.cp.add(level == value)
            else:
                self.settle(words, level)

    def values(self) -> tuple[int, ...]:
        """Return every level's value in the best solution, which must be there."""
        assert self.best is not None
        return tuple(self.best.value(level) for level in self.levels)

    def _bound(self, level: Expr) -> int:
        """Look for the least value of a level; returns its proven bound."""
        if self.best is not None and self.best.value(level) == 0:
            return 0
        solver = timed_solver(self.clock)
        if len(self.cp.proto.variables) < SMALL:
            solver.parameters.cp_model_presolve = False
            solver.parameters.linearization_level = 1
        return max(0, self.least(level, solver) or 0)
