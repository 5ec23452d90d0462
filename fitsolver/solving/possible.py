"""Feasibility of a job with some of the rules relaxed."""

from __future__ import annotations

from typing import Final

from ortools.sat.python import cp_model

from fitsolver.base.running import run_through
from fitsolver.choices.options import options
from fitsolver.choices.types import ALL_RULES
from fitsolver.records.base import RuleId
from fitsolver.records.job import Job, Terms
from fitsolver.records.rules import LOCAL
from fitsolver.solving.minimal import minimal_rules
from fitsolver.solving.problem import Problem, narrow_model, problem
from fitsolver.solving.search import new_solver

#: Rules that one cylinder keeps or breaks by itself.
OWN_RULES: Final = LOCAL
#: Rules that join cylinders.
JOINING: Final[frozenset[RuleId]] = ALL_RULES - OWN_RULES


def possible(task: Problem, active: frozenset[RuleId] = ALL_RULES) -> bool:
    """Tell whether any plan keeps the active rules."""
    chosen = [options(cylinder, active) for cylinder in task.cylinders]
    model = narrow_model(task, chosen, active) if all(chosen) else None
    if model is None:
        return False
    return run_through(new_solver(model), model.cp) in (cp_model.OPTIMAL, cp_model.FEASIBLE)


def alone(task: Problem, name: str) -> Problem:
    """Return the problem of one cylinder, without coupling rules, money and time."""
    cylinder = next(item for item in task.job.cylinders if item.name == name)
    job: Job = task.job.model_copy(
        update={
            "cylinders": (cylinder,),
            "same_size": (),
            "mass_match": (),
            "terms": Terms(),
        }
    )
    return problem(job, task.catalogue)


def conflict(
    task: Problem, rules: frozenset[RuleId], background: frozenset[RuleId] = frozenset()
) -> tuple[RuleId, ...]:
    """Return a minimal unsatisfiable set of rules.

    `background` rules stay active throughout. Empty when a plan exists, or when the background
    alone permits none.
    """
    if possible(task, rules | background) or not possible(task, background):
        return ()
    return tuple(sorted(minimal_rules(rules, lambda kept: possible(task, kept | background))))
