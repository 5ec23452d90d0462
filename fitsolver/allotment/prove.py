"""Close a level on its sparse model: CP-SAT proves that there is no better solution."""

from __future__ import annotations

from collections import defaultdict
from math import ceil, inf

import numpy as np
from ortools.sat.python import cp_model

from fitsolver.allotment.compact import Compact
from fitsolver.allotment.engine import engine
from fitsolver.allotment.pool import Choice, Flags, step_of
from fitsolver.base.deadline import Clock
from fitsolver.base.running import run


def prove(
    small: Compact,
    value: int,
    bound: int,
    clock: Clock,
    *,
    known: Flags | None = None,
    patience: float | None = None,
) -> tuple[dict[int, Choice] | None, int]:
    """Return the best solution below `value` (None: none was found), and what is proven.

    No solution is below the bound given, none below the one returned. `known` are the columns of
    a solution to start from, `patience` is in the solver's own measure of its work (about seconds).
    """
    model, cp = small.model, cp_model.CpModel()
    taken = [cp.new_bool_var("") for _ in model.cost]
    rows: dict[int, list[tuple[int, int]]] = defaultdict(list)
    entries = (model.at_row.tolist(), model.at_column.tolist(), model.value.tolist())
    for row, column, takes in zip(*entries, strict=True):
        rows[row].append((column, takes))
    for row, terms in rows.items():
        total = cp_model.LinearExpr.weighted_sum(
            [taken[c] for c, _ in terms], [m for _, m in terms]
        )
        cp.add(total <= int(model.high[row]))
        if model.low[row] > -inf:
            cp.add(total >= int(model.low[row]))
    step = step_of(model.cost)
    objective = cp_model.LinearExpr.weighted_sum(taken, (model.cost // step).tolist())
    cp.add(objective >= -(-bound // step))
    cp.add(objective <= (value - 1) // step)
    cp.minimize(objective)
    if known is not None:
        for variable, one in zip(taken, known.tolist(), strict=True):
            cp.add_hint(variable, one)
    solver = engine(clock)
    solver.parameters.symmetry_level = 0
    solver.parameters.cp_model_probing_level = 0
    if patience is not None:
        solver.parameters.max_deterministic_time = patience
    status = run(solver, cp, lambda: clock.interrupted)
    if status == cp_model.INFEASIBLE:
        return None, value
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None, bound
    chosen = np.array([solver.value(x) for x in taken], dtype=np.bool_)
    return small.choices(chosen), max(bound, ceil(solver.best_objective_bound - 1e-6) * step)
