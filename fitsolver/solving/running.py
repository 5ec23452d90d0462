"""Run the solver so that Ctrl-C is heard while it works."""

from __future__ import annotations

import signal
from collections.abc import Callable
from threading import Event, Thread, current_thread, main_thread
from typing import Any, Final

from ortools.sat.python import cp_model

#: How often a wait looks up (seconds).
_LOOK_UP: Final = 0.1


def run(
    solver: cp_model.CpSolver,
    model: cp_model.CpModel,
    interrupted: Callable[[], None] | None = None,
) -> Any:
    """Return the status that the solver ends with.

    At Ctrl-C the search is stopped and `interrupted` is called; without one, KeyboardInterrupt
    is raised. The solver's own handler is not used: it leaves the process with none, so that
    the next Ctrl-C would kill it.
    """
    solver.parameters.catch_sigint_signal = False
    before = signal.getsignal(signal.SIGINT)
    if current_thread() is not main_thread() or not callable(before):
        return solver.solve(model)  # Ctrl-C does not come here, or is to be ignored
    stop = Event()
    signal.signal(signal.SIGINT, lambda *_: stop.set())
    try:
        status = _solve(solver, model, stop)
    finally:
        signal.signal(signal.SIGINT, before)
    if stop.is_set():
        if interrupted is None:
            raise KeyboardInterrupt
        interrupted()
    return status


def _solve(solver: cp_model.CpSolver, model: cp_model.CpModel, stop: Event) -> Any:
    """Solve beside this thread, which is the one that hears signals, until `stop` is set."""
    ended: list[Any] = []
    failed: list[BaseException] = []

    def work() -> None:
        try:
            ended.append(solver.solve(model))
        except BaseException as error:
            failed.append(error)

    thread = Thread(target=work, name="solver")
    thread.start()
    while thread.is_alive():
        thread.join(_LOOK_UP)
        if stop.is_set():
            solver.stop_search()  # again and again: at first there may be no search to stop
    if failed:
        raise failed[0]
    return ended[0]
