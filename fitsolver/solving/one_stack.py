"""Whether some gaskets of the catalogue keep the bounds on a stack."""

from __future__ import annotations

from functools import lru_cache

from ortools.sat.python import cp_model

from fitsolver.base.running import run_through
from fitsolver.choices.types import StackBounds
from fitsolver.fits.port_timing import UNDER_THE_CYLINDER
from fitsolver.records.base import RuleId
from fitsolver.solving.problem import Problem

Edges = tuple[int | None, int | None]


def has_stack(task: Problem, stack: StackBounds, active: frozenset[RuleId]) -> bool:
    """Tell whether gaskets of every place make a stack that a piston takes."""
    all_of = bounds_of(stack.low, stack.high) if "squish" in active else (None, None)
    under = bounds_of(stack.base_low, stack.base_high) if "port_timing" in active else (None, None)
    places = tuple((p.place, p.least, p.most) for p in task.job.gaskets)
    offered = tuple(
        dict.fromkeys(
            (g.place, g.compressed.low, g.compressed.high) for g in task.catalogue.gaskets
        )
    )
    return _search_stack(offered, places, all_of, under)


def bounds_of(low: int | None, high: int | None) -> Edges:
    """Return the bounds on a stack, whose thickness is at least 0."""
    return (low if low is not None and low > 0 else None), high


@lru_cache(maxsize=4096)
def _search_stack(
    offered: tuple[tuple[str, int, int], ...],
    places: tuple[tuple[str, int, int], ...],
    all_of: Edges,
    under: Edges,
) -> bool:
    if all_of == under == (None, None):
        return all(not least or any(g[0] == place for g in offered) for place, least, _ in places)
    model = cp_model.CpModel()
    taken = []
    for place, least, most in places:
        counts = [(g, model.new_int_var(0, most, "")) for g in offered if g[0] == place]
        model.add_linear_constraint(
            cp_model.LinearExpr.sum([count for _, count in counts]), least, most
        )
        taken += counts
    for (low, high), some in (
        (all_of, taken),
        (under, [each for each in taken if each[0][0] == UNDER_THE_CYLINDER]),
    ):
        if low is not None:
            model.add(cp_model.LinearExpr.sum([g[1] * count for g, count in some]) >= low)
        if high is not None:
            model.add(cp_model.LinearExpr.sum([g[2] * count for g, count in some]) <= high)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    return run_through(solver, model) in (cp_model.OPTIMAL, cp_model.FEASIBLE)
