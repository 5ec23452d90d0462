"""Levels of one CP-SAT model, settled one after the other and held."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import Final

from ortools.sat.python import cp_model

from fitsolver.base.deadline import Clock
from fitsolver.base.running import run
from fitsolver.mip.exact import cp_sat
from fitsolver.solving.variables import Expr

#: Presolving a model of fewer variables than this takes longer than solving it.
_SMALL: Final = 1_000


class Levels:
    """Makes one expression after the other smallest, none of which is ever below 0.

    `best` has the best solution found, `none` is True when there is no solution at all.
    """

    def __init__(self, cp: cp_model.CpModel, clock: Clock) -> None:
        self.cp, self.clock = cp, clock
        self.best: cp_model.CpSolver | None = None
        self.none = False
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
        bound = self._least(level)
        self.bounds.append(bound)
        if self.best is None or bound != self.best.value(level):
            self.open = False
            return False
        self.cp.add(level == bound)
        return True

    def values(self) -> tuple[int, ...]:
        """Return every level's value in the best solution, which must be there."""
        assert self.best is not None
        return tuple(self.best.value(level) for level in self.levels)

    def _least(self, level: Expr) -> int:
        """Look for the least value of a level; returns its proven bound."""
        if self.best is not None and self.best.value(level) == 0:
            return 0
        self.cp.minimize(level)
        solver = cp_sat(self.clock)
        if len(self.cp.proto.variables) < _SMALL:
            solver.parameters.cp_model_presolve = False
            solver.parameters.linearization_level = 1
        status = run(solver, self.cp, lambda: self.clock.interrupted)
        self.none = status == cp_model.INFEASIBLE
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return 0
        if self.best is None or solver.value(level) <= self.best.value(level):
            self.best = solver
            self._keep_hint(list(solver.response_proto.solution))
        return max(0, ceil(solver.best_objective_bound - 1e-6))

    def _keep_hint(self, values: Sequence[int]) -> None:
        self.cp.clear_hints()  # type: ignore[no-untyped-call]
        hint = self.cp.proto.solution_hint
        hint.vars.extend(range(len(values)))
        hint.values.extend(values)
