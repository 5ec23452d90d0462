"""One CP-SAT model, minimised over its expressions in order (lexicographically)."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import Final

from ortools.sat.python import cp_model

from fitsolver.base.deadline import Clock
from fitsolver.base.errors import CheckError
from fitsolver.base.running import run
from fitsolver.solving.slots import Slot, weights
from fitsolver.solving.terms import Expr

#: Models with fewer variables than this are small: presolving one takes longer than solving it.
SMALL: Final = 1_000
#: The solver's bound is a floating-point number: below the next integer by no more than this.
_ROUNDED: Final = 1e-6


class Minimiser:
    """Looks for the least value of an expression, from the best solution found so far.

    `best` has that solution, `none` is True when there is no solution at all.
    """

    def __init__(self, cp: cp_model.CpModel, clock: Clock) -> None:
        self.cp, self.clock = cp, clock
        self.best: cp_model.CpSolver | None = None
        self.none = False

    def least(self, expression: Expr, solver: cp_model.CpSolver) -> int | None:
        """Return the proven lower bound of an expression; None where there is no solution.

        Raises CheckError where the solver contradicts its own solution, RuntimeError for an invalid
        model.
        """
        self.cp.minimize(expression)
        status = run(solver, self.cp, lambda: self.clock.interrupted)
        if status == cp_model.MODEL_INVALID:
            raise RuntimeError(f"the model is not valid: {self.cp.validate()}")
        if status == cp_model.INFEASIBLE:
            if self.best is not None:
                raise CheckError("the solver found a plan and then denied that there is one")
            self.none = True
            return None
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) and not self._better(expression, solver):
            self.best = solver
            keep_as_hint(self.cp, solver)
        if status == cp_model.OPTIMAL:
            return solver.value(expression)
        return ceil(solver.best_objective_bound - _ROUNDED)

    def least_in_order(
        self, group: Sequence[Slot], solver: cp_model.CpSolver
    ) -> tuple[int | None, bool]:
        """Minimise the slots lexicographically.

        Returns the first slot's proven lower bound, and whether all slots are proven least; see
        `least` for a model without a solution, and for errors.
        """
        weighed = weights(group)
        lowest = sum(weight * slot.low for weight, slot in zip(weighed, group, strict=True))
        together = cp_model.LinearExpr.weighted_sum([slot.expr for slot in group], weighed)
        bound = self.least(together - lowest, solver)
        if bound is None:
            return None, False
        first = group[0]
        if self.best is not None and bound == self.best.value(together) - lowest:
            return self.best.value(first.expr), True
        return first.low + max(0, bound // weighed[0]), False

    def _better(self, expression: Expr, solver: cp_model.CpSolver) -> bool:
        """Tell whether the incumbent is better than the result of a search that ended early."""
        return self.best is not None and self.best.value(expression) < solver.value(expression)


def keep_as_hint(cp: cp_model.CpModel, solver: cp_model.CpSolver) -> None:
    """Hint a solver's solution to the next solve of its model."""
    cp.clear_hints()  # type: ignore[no-untyped-call]
    values = list(solver.response_proto.solution)
    hint = cp.proto.solution_hint
    hint.vars.extend(range(len(values)))
    hint.values.extend(values)
