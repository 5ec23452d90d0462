"""Feasibility of a job: a few options of every cylinder are tried before all."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from ortools.sat.python import cp_model

from fitsolver.base.running import run_through
from fitsolver.choices.options import options
from fitsolver.choices.types import ALL_RULES, Option
from fitsolver.records.base import RuleId
from fitsolver.solving.possible import possible
from fitsolver.solving.problem import Problem, narrow_model

#: Options in the first trial of a cylinder: those with the least removal usually suffice.
FEW: Final = 200
_FOUND: Final = (cp_model.OPTIMAL, cp_model.FEASIBLE)


def fits(task: Problem, active: frozenset[RuleId] = ALL_RULES) -> bool:
    """Tell whether any plan keeps the active rules; a few options are tried before all."""
    offered = [options(state, active) for state in task.cylinders]
    if not all(offered):
        return False
    if any(len(each) > FEW for each in offered) and few_fit(task, active):
        return True
    return possible(task, active)


def few_fit(task: Problem, active: frozenset[RuleId] = ALL_RULES) -> bool:
    """Tell whether the options that remove least leave a plan; if not, others still may."""
    offered = [options(state, active) for state in task.cylinders]
    few = list(map(least_removing, offered))
    model = narrow_model(task, few, active) if all(few) else None
    return model is not None and run_through(_plain_solver(), model.cp) in _FOUND


def _plain_solver() -> cp_model.CpSolver:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    return solver


def least_removing(offered: Sequence[Option]) -> Sequence[Option]:
    """Return the few options that remove least."""
    return sorted(offered, key=lambda option: option.least_removal)[:FEW]
