"""One model of a job in which each coupling rule, and each of its terms, can be switched off.

Every coupling rule has its own enforcement literal, and so have the budget and the days. A query
fixes the literals: the model is built once for all queries.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from contextlib import contextmanager
from dataclasses import replace
from typing import Any, Final, Literal

from ortools.sat.python import cp_model

from fitsolver.base.running import run_through
from fitsolver.choices.types import Option
from fitsolver.records.base import RULES, RuleId
from fitsolver.records.job import Terms
from fitsolver.solving.build import post
from fitsolver.solving.minimising import keep_as_hint
from fitsolver.solving.possible import JOINING, OWN_RULES
from fitsolver.solving.posting import carried_by
from fitsolver.solving.problem import Problem, narrow_model
from fitsolver.solving.search import new_solver
from fitsolver.solving.variables import Model

#: A joining rule, or one of the terms that `availability` keeps.
Condition = RuleId | Literal["budget", "needed_in_days"]
TERMS: Final[frozenset[Condition]] = frozenset({"budget", "needed_in_days"})
_FOUND: Final = (cp_model.OPTIMAL, cp_model.FEASIBLE)


class JointModel:
    """A job's model of some options; each query names the conditions to keep."""

    def __init__(self, task: Problem, chosen: Sequence[Sequence[Option]]) -> None:
        free = replace(task, job=task.job.model_copy(update={"terms": Terms()}))
        self.model = narrow_model(free, chosen, OWN_RULES) if all(chosen) else None
        self.literals: dict[Condition, cp_model.IntVar] = {}
        if self.model is not None:
            self._post(self.model, task.job.terms)

    def holds(self, kept: AbstractSet[Condition]) -> bool:
        """Tell whether there is a plan that keeps the conditions and all rules of one cylinder."""
        return self._solved(kept) is not None

    def least(self, level: Literal["price", "days"], kept: AbstractSet[Condition]) -> int | None:
        """Return the proven least price (hundredths) or days under the conditions; None: no plan.

        `availability` must be among them: without it nothing has a price.
        """
        if self.model is None:
            return None
        expression = self.model.price if level == "price" else self.model.days
        self.model.cp.minimize(expression)
        solver = self._solved(kept)
        self.model.cp.clear_objective()  # type: ignore[no-untyped-call]
        return None if solver is None else solver.value(expression)

    def _post(self, model: Model, terms: Terms) -> None:
        carried = carried_by(model)
        for rule in RULES:
            if rule in JOINING:
                with self._under(model, rule):
                    post(model, rule, carried)
        if terms.budget is not None:
            with self._under(model, "budget"):
                model.cp.add(model.price <= terms.budget)
        if terms.needed_in_days is not None:
            with self._under(model, "needed_in_days"):
                model.cp.add(model.days <= terms.needed_in_days)

    @contextmanager
    def _under(self, model: Model, condition: Condition) -> Iterator[None]:
        """Enforce the constraints posted meanwhile only while a new literal is true."""
        constraints = model.cp.proto.constraints
        before = len(constraints)
        yield
        literal = model.cp.new_bool_var(condition)
        self.literals[condition] = literal
        for place in range(before, len(constraints)):
            constraint = constraints[place]
            if _is(constraint, "at_most_one"):  # takes no literal: said as a sum it does
                taken = list(constraint.at_most_one.literals)
                _clear(constraint, "at_most_one")
                constraint.linear.vars.extend(taken)
                constraint.linear.coeffs.extend([1] * len(taken))
                constraint.linear.domain.extend([0, 1])
            # Definitions need no literal: by themselves they forbid nothing.
            if _is(constraint, "linear"):
                constraint.enforcement_literal.append(literal.index)

    def _solved(self, kept: AbstractSet[Condition]) -> cp_model.CpSolver | None:
        if self.model is None:
            return None
        for condition, literal in self.literals.items():
            domain = literal.proto.domain
            domain.clear()
            domain.extend([int(condition in kept)] * 2)
        solver = new_solver(self.model)
        if run_through(solver, self.model.cp) not in _FOUND:
            return None
        keep_as_hint(self.model.cp, solver)
        return solver


# Older versions of the solver have protocol buffers here, newer ones classes of their own.


def _is(constraint: Any, kind: str) -> bool:
    own = getattr(constraint, f"has_{kind}", None)
    return bool(own() if own is not None else constraint.HasField(kind))


def _clear(constraint: Any, kind: str) -> None:
    own = getattr(constraint, f"clear_{kind}", None)
    if own is not None:
        own()
    else:
        constraint.ClearField(kind)
