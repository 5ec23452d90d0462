"""CP-SAT as every search sets it up: it counts in integers, so it proves."""

from __future__ import annotations

from ortools.sat.python import cp_model

from fitsolver.base.deadline import Clock


def cp_sat(clock: Clock) -> cp_model.CpSolver:
    """Return a solver of one worker that stops when the clock does."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 2
    if clock.left is not None:
        solver.parameters.max_time_in_seconds = clock.left
    return solver
