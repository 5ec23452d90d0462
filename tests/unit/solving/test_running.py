"""The solver hears Ctrl-C, and leaves the process as it found it."""

from __future__ import annotations

import os
import re
import signal
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from ortools.sat.python import cp_model

from fitsolver.base.running import heard, run, run_through

pytestmark = pytest.mark.skipif(os.name == "nt", reason="signals of POSIX")


def pigeons(count: int) -> cp_model.CpModel:
    """More pigeons than holes, without the constraint that knows better: takes very long."""
    model = cp_model.CpModel()
    rows = [[model.new_bool_var("") for _ in range(count)] for _ in range(count + 1)]
    for row in rows:
        model.add_bool_or(row)
    for one in range(count + 1):
        for other in range(one):
            for hole in range(count):
                model.add_bool_or(~rows[one][hole], ~rows[other][hole])
    return model


def plain_solver() -> cp_model.CpSolver:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.cp_model_presolve = False
    solver.parameters.max_time_in_seconds = 60
    return solver


@pytest.fixture
def ctrl_c() -> Iterator[None]:
    """Send Ctrl-C to this process in a moment; too early or too late it does no harm."""
    before = signal.signal(signal.SIGINT, lambda *_: None)
    timer = threading.Timer(0.5, lambda: os.kill(os.getpid(), signal.SIGINT))
    timer.start()
    yield
    timer.cancel()
    timer.join()
    signal.signal(signal.SIGINT, before)


def test_a_search_that_ends() -> None:
    before = signal.getsignal(signal.SIGINT)
    assert run_through(plain_solver(), pigeons(2)) == cp_model.INFEASIBLE
    assert signal.getsignal(signal.SIGINT) is before


def test_stopped(ctrl_c: None) -> None:
    before, begun, stop = signal.getsignal(signal.SIGINT), time.monotonic(), threading.Event()
    model = pigeons(14)
    with heard(stop.set):
        status = run(plain_solver(), model, stop.is_set)
    assert (status, stop.is_set()) == (cp_model.UNKNOWN, True)
    assert time.monotonic() - begun < 30
    assert signal.getsignal(signal.SIGINT) is before


def test_stopped_where_the_end_is_needed(ctrl_c: None) -> None:
    before, model = signal.getsignal(signal.SIGINT), pigeons(14)
    with pytest.raises(KeyboardInterrupt):
        run_through(plain_solver(), model)
    assert signal.getsignal(signal.SIGINT) is before


def test_ignored_where_it_is_to_be_ignored(ctrl_c: None) -> None:
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        solver = plain_solver()
        solver.parameters.max_time_in_seconds = 1
        assert run_through(solver, pigeons(14)) == cp_model.UNKNOWN
        assert solver.wall_time >= 0.9
        assert signal.getsignal(signal.SIGINT) is signal.SIG_IGN
    finally:
        signal.signal(signal.SIGINT, before)


def test_in_another_thread() -> None:
    """Signals come to the main thread only: the search runs where it is called."""
    found: list[object] = []
    thread = threading.Thread(target=lambda: found.append(run_through(plain_solver(), pigeons(2))))
    thread.start()
    thread.join()
    assert found == [cp_model.INFEASIBLE]


def test_an_error_of_the_solver_comes_through() -> None:
    class Failing(cp_model.CpSolver):
        def solve(self, *args: object, **more: object) -> object:  # type: ignore[override]
            raise MemoryError("too large")

    with pytest.raises(MemoryError, match="too large"):
        run_through(Failing(), pigeons(2))


def test_nothing_else_runs_the_solver() -> None:
    """Its own handler of Ctrl-C would leave the process with none."""
    package = Path(__file__).parents[3] / "fitsolver"
    callers = {
        path.name
        for path in package.rglob("*.py")
        if re.search(r"\bsolver\.solve\(|CpSolver\(\)\.solve\(", path.read_text("utf-8"))
    }
    assert callers == {"running.py"}
