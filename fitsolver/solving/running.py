"""Run the solver so that Ctrl-C is heard while it works."""

from __future__ import annotations

from collections.abc import Callable
from threading import Thread
from typing import Any, Final

from ortools.sat.python import cp_model

#: How often a wait looks up (seconds): not every system breaks off a wait for Ctrl-C.
_LOOK_UP: Final = 0.2


def run(
    solver: cp_model.CpSolver,
    model: cp_model.CpModel,
    interrupted: Callable[[], None] | None = None,
) -> Any:
    """Return the status that the solver ends with.

    At Ctrl-C the search is stopped and `interrupted` is called; without one, KeyboardInterrupt
    is raised. The solver's own handler is not used: it leaves the process without Python's.
    """
    solver.parameters.catch_sigint_signal = False
    ended: list[Any] = []
    failed: list[BaseException] = []

    def work() -> None:
        try:
            ended.append(solver.solve(model))
        except BaseException as error:
            failed.append(error)

    thread = Thread(target=work, name="solver", daemon=True)
    thread.start()
    stopped = _wait(thread, solver)
    if failed:
        raise failed[0]
    if stopped:
        if interrupted is None:
            raise KeyboardInterrupt
        interrupted()
    return ended[0]


def _wait(thread: Thread, solver: cp_model.CpSolver) -> bool:
    """Wait until the search has ended; tell whether Ctrl-C ended it."""
    stopped = False
    while thread.is_alive():
        try:
            thread.join(_LOOK_UP)
            if stopped:
                solver.stop_search()  # the first call may have come before there was a search
        except KeyboardInterrupt:
            stopped = True
            solver.stop_search()
    return stopped
