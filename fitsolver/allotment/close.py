"""Close a level on its sparse model: HiGHS finds good solutions, CP-SAT proves there is no better.

HiGHS counts in floating point: what it finds is checked in whole numbers, and it proves nothing.
"""

from __future__ import annotations

from collections import defaultdict
from math import ceil, gcd, inf
from threading import Thread

import numpy as np
from numpy.typing import NDArray
from ortools.sat.python import cp_model

from fitsolver.allotment.compact import Compact
from fitsolver.allotment.engine import engine
from fitsolver.allotment.pool import Choice
from fitsolver.solving.running import run
from fitsolver.solving.search import Clock

#: Seconds that HiGHS may look for solutions of a level.
_LOOK = 20.0


def look(model: Compact, clock: Clock) -> dict[int, Choice] | None:
    """Return the best solution that HiGHS finds soon, not checked; None: it finds none."""
    seconds = min(_LOOK, inf if clock.left is None else clock.left)
    found: list[NDArray[np.float64]] = []
    # In a thread that may be left behind, for HiGHS itself does not hear Ctrl-C.
    thread = Thread(target=lambda: found.extend(_by_highs(model, seconds)), daemon=True)
    thread.start()
    while thread.is_alive() and clock.left != 0:
        thread.join(0.1)
    return model.choices(found[0] > 0.5) if found else None


def _by_highs(model: Compact, seconds: float) -> list[NDArray[np.float64]]:
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    columns, rows = len(model.cost), len(model.low)
    matrix = csr_array((model.value, (model.at_row, model.at_column)), shape=(rows, columns))
    step = gcd(*set(model.cost.tolist())) or 1
    found = milp(
        (model.cost // step).astype(np.float64),
        constraints=LinearConstraint(matrix, model.low, model.high),
        bounds=Bounds(0, 1),
        integrality=model.whole,
        options={"time_limit": seconds, "mip_rel_gap": 0.0},
    )
    return [] if found.x is None else [found.x]


def prove(
    model: Compact, value: int, bound: int, clock: Clock
) -> tuple[dict[int, Choice] | None, int]:
    """Return the best solution below `value` (None: none was found), and what is proven.

    No solution is below the bound given, none below the one returned.
    """
    cp = cp_model.CpModel()
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
    step = gcd(*set(model.cost.tolist())) or 1
    objective = cp_model.LinearExpr.weighted_sum(taken, (model.cost // step).tolist())
    cp.add(objective >= -(-bound // step))
    cp.add(objective <= (value - 1) // step)
    cp.minimize(objective)
    solver = engine(clock)
    status = run(solver, cp, lambda: clock.interrupted)
    if status == cp_model.INFEASIBLE:
        return None, value
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None, bound
    chosen = np.array([solver.value(x) for x in taken], dtype=np.bool_)
    return model.choices(chosen), max(bound, ceil(solver.best_objective_bound - 1e-6) * step)
