"""The rules that join cylinders: which of them are in conflict, told by the solver's assumptions.

Every joining rule is posted under a literal of its own, and all literals are assumed. When the
solver finds no plan it names assumptions that suffice for that. They are then shrunk by deletion
to a minimal unsatisfiable set.
"""

from __future__ import annotations

from ortools.sat.python import cp_model

from fitsolver.base.running import run_through
from fitsolver.choices.options import ALL_RULES, options
from fitsolver.explain.openings import least
from fitsolver.records.base import RULES, RuleId
from fitsolver.solving.build import POSTS
from fitsolver.solving.possible import OWN_RULES, possible
from fitsolver.solving.problem import Problem, narrow_model, problem

JOINING: frozenset[RuleId] = ALL_RULES - OWN_RULES
#: Options a cylinder is first tried with: those that remove least mostly do.
_FEW = 200
#: Where naming assumptions takes longer (the solver's own measure, the same on every machine),
#: all joining rules are shrunk instead.
_LONGEST = 0.5


def fits(task: Problem, active: frozenset[RuleId] = ALL_RULES) -> bool:
    """Tell whether any plan keeps the active rules; few options are tried before all."""
    offered = [options(state, active) for state in task.cylinders]
    if not all(offered):
        return False
    if any(len(each) > _FEW for each in offered) and few_fit(task, active):
        return True
    return possible(task, active)


def few_fit(task: Problem, active: frozenset[RuleId] = ALL_RULES) -> bool:
    """Tell whether the options that remove least leave a plan; if not, others still may."""
    offered = [options(state, active) for state in task.cylinders]
    few = [sorted(each, key=lambda option: option.least_removal)[:_FEW] for each in offered]
    model = narrow_model(task, few, active) if all(few) else None
    return model is not None and run_through(_plain_solver(), model.cp) in _FOUND


_FOUND = (cp_model.OPTIMAL, cp_model.FEASIBLE)


def _plain_solver() -> cp_model.CpSolver:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    return solver


def joined_conflict(task: Problem) -> tuple[RuleId, ...]:
    """Return joining rules that cannot be kept together, none of which can be spared.

    Empty when there is a plan, or when the rules each cylinder keeps by itself allow none.
    """
    if not fits(task, OWN_RULES):
        return ()
    kept = sufficient(task)
    # Rules without which there is a plan belong to every conflict, and mostly are all of it.
    needed = frozenset(rule for rule in kept if few_fit(task, OWN_RULES | (kept - {rule})))
    if needed < kept and needed and not fits(task, OWN_RULES | needed):
        kept = needed
    for rule in sorted(kept - needed):
        if not fits(task, OWN_RULES | (kept - {rule})):
            kept -= {rule}
    return tuple(rule for rule in RULES if rule in kept)


def sufficient(task: Problem) -> frozenset[RuleId]:
    """Return joining rules that suffice for there being no plan; empty when there is one."""
    model = narrow_model(task, [options(state, OWN_RULES) for state in task.cylinders], OWN_RULES)
    if model is None:
        return frozenset()
    literals = {}
    for rule in RULES:
        if rule not in JOINING:
            continue
        before = len(model.cp.proto.constraints)
        POSTS[rule](model)
        literal = model.cp.new_bool_var(rule)
        literals[literal.index] = rule
        for place in range(before, len(model.cp.proto.constraints)):
            constraint = model.cp.proto.constraints[place]
            # Definitions need no literal: by themselves they forbid nothing.
            if constraint.has_linear():
                constraint.enforcement_literal.append(literal.index)
        model.cp.add_assumption(literal)
    solver = _plain_solver()
    solver.parameters.max_deterministic_time = _LONGEST
    status = run_through(solver, model.cp)
    if status != cp_model.INFEASIBLE:
        return JOINING if status == cp_model.UNKNOWN else frozenset()
    named = solver.sufficient_assumptions_for_infeasibility()
    found = frozenset(literals[index] for index in named)
    # At most one use of a piece in hand is posted without a literal: it is part of availability.
    return found if not fits(task, OWN_RULES | found) else JOINING


def least_mass_limit(task: Problem, index: int) -> int | None:
    """Return the least limit (mg) of one mass match with which there is a plan; None: with none.

    All other rules are kept. Only what two pistons can differ by is worth a try.
    """
    match = task.job.mass_match[index]
    masses = {piston.candidate.mass for state in task.cylinders for piston in state.pistons}
    known = [mass for mass in masses if mass is not None]
    spreads = {one[1] - other[0] for one in known for other in known}
    steps = sorted(spread for spread in spreads if spread > match.limit)

    def serves(count: int) -> bool:
        wider = list(task.job.mass_match)
        wider[index] = match.model_copy(update={"limit": steps[count - 1]})
        return fits(
            problem(task.job.model_copy(update={"mass_match": tuple(wider)}), task.catalogue)
        )

    # Few steps more do mostly: double before halving.
    most = 1
    while most < len(steps) and not serves(most):
        most *= 2
    found = least(serves, min(most, len(steps))) if steps else None
    return None if found is None else steps[found - 1]
