"""The outside solvers as every search sets them up: CP-SAT proves, HiGHS finds."""

from __future__ import annotations

from threading import Thread
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from ortools.sat.python import cp_model

from fitsolver.base.deadline import Clock
from fitsolver.mip.instance import Flags, Ints, step_of

#: With more columns than this HiGHS does not heed its time.
_MOST_COLUMNS: Final = 60_000
#: How often a wait looks up (seconds).
_LOOK_UP: Final = 0.05


def cp_sat(clock: Clock) -> cp_model.CpSolver:
    """Return a solver of one worker that stops when the clock does."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 2
    if clock.left is not None:
        solver.parameters.max_time_in_seconds = clock.left
    return solver


class SparseModel(NamedTuple):
    """Binary variables (`integer` 0: integral by themselves) with costs; the entries of the rows,
    and their least and largest activity.
    """

    cost: Ints
    integer: Ints
    at_row: Ints
    at_column: Ints
    value: Ints
    low: NDArray[np.float64]
    high: NDArray[np.float64]


def highs(model: SparseModel, seconds: float, clock: Clock) -> Flags | None:
    """Return the variables at 1 in the best solution found in the time; None without one.

    HiGHS counts in floating point: what it finds is to be checked, and proves nothing.
    """
    if len(model.cost) > _MOST_COLUMNS:
        return None
    most = clock.at_most(seconds)
    found: list[Flags | None] = []
    failed: list[BaseException] = []

    def work() -> None:
        try:
            found.append(_solved(model, most))
        except BaseException as error:
            failed.append(error)

    # Beside this thread, which hears signals; HiGHS does not, and is left to its own end.
    beside = Thread(target=work, name="HiGHS", daemon=True)
    beside.start()
    while beside.is_alive() and not clock.interrupted:
        beside.join(_LOOK_UP)
    if failed:
        raise failed[0]
    return found[0] if found else None


def _solved(model: SparseModel, seconds: float) -> Flags | None:
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    shape = len(model.low), len(model.cost)
    matrix = csr_array((model.value, (model.at_row, model.at_column)), shape=shape)
    found = milp(
        (model.cost // step_of(model.cost)).astype(np.float64),
        constraints=LinearConstraint(matrix, model.low, model.high),
        bounds=Bounds(0, 1),
        integrality=model.integer,
        options={"time_limit": seconds, "mip_rel_gap": 0.0},
    )
    return None if found.x is None else found.x > 0.5
