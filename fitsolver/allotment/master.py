"""The choices known of every taker, mixed: a linear programme whose prices find better ones."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

import numpy as np
from numpy.typing import NDArray
from ortools.linear_solver import pywraplp

from fitsolver.allotment.pool import Choice, Pool, cost, demand

#: A share that is none but for rounding.
_NOTHING: Final = 1e-7


class Master:
    """Shares of known choices, one whole a taker, within the capacity, at the least cost.

    Its floats only propose prices and choices; nothing is proven by them.
    """

    def __init__(self, pool: Pool, level: int) -> None:
        self.pool, self.level = pool, level
        self.solver = pywraplp.Solver.CreateSolver("GLOP")
        self.one = [self.solver.Constraint(1.0, 1.0) for _ in range(pool.takers)]
        self.within = [
            self.solver.Constraint(float(most) if tight else -self.solver.infinity(), float(most))
            for most, tight in zip(pool.capacity.tolist(), pool.tight.tolist(), strict=True)
        ]
        self.objective = self.solver.Objective()
        self.objective.SetMinimization()
        self.choices: dict[Choice, pywraplp.Variable] = {}
        self.value = 0.0

    def add(self, choices: Iterable[Choice]) -> int:
        """Add choices; returns how many are new."""
        before = len(self.choices)
        for choice in choices:
            if choice in self.choices:
                continue
            share = self.solver.NumVar(0.0, self.solver.infinity(), "")
            self.choices[choice] = share
            self.objective.SetCoefficient(share, float(cost(self.pool, choice.items, self.level)))
            self.one[choice.taker].SetCoefficient(share, 1.0)
            for row, much in demand(self.pool, choice).items():
                self.within[row].SetCoefficient(share, float(much))
        return len(self.choices) - before

    def solve(self) -> bool:
        """Solve and keep what the optimum comes to; False where the solver gave up."""
        if self.solver.Solve() != pywraplp.Solver.OPTIMAL:
            return False
        self.value = float(self.objective.Value())
        return True

    def prices(self) -> NDArray[np.float64]:
        """Return the price of every row; rows that are not tight have none below 0."""
        found = np.array([-row.dual_value() for row in self.within], dtype=np.float64)
        return np.where(self.pool.tight, found, np.maximum(found, 0.0))

    def shares(self) -> dict[Choice, float]:
        """Return the shares of all choices that have one, in the last solution."""
        found = {c: float(share.solution_value()) for c, share in self.choices.items()}
        return {choice: share for choice, share in found.items() if share > _NOTHING}

    def whole(self) -> dict[int, Choice] | None:
        """Return one choice a taker where no share is broken, else None."""
        found: dict[int, Choice] = {}
        for choice, share in self.choices.items():
            if share.solution_value() > 0.999:
                found[choice.taker] = choice
        return found if len(found) == self.pool.takers else None
