"""Run the solver so that Ctrl-C is heard while it works."""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Event, Thread, current_thread, main_thread
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:  # what is run is handed in: nothing of it is known here
    from ortools.sat.python import cp_model

#: How often a wait looks up (seconds).
_LOOK_UP: Final = 0.1


@contextmanager
def heard(told: Callable[[], None]) -> Iterator[None]:
    """Let Ctrl-C call `told` in place of raising KeyboardInterrupt.

    Where signals do not come (in another thread) or are to be ignored, nothing is changed.
    """
    before = signal.getsignal(signal.SIGINT)
    if current_thread() is not main_thread() or not callable(before):
        yield
        return
    signal.signal(signal.SIGINT, lambda *_: told())
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def run(solver: cp_model.CpSolver, model: cp_model.CpModel, stopped: Callable[[], bool]) -> Any:
    """Return the status that the solver ends with, by itself or soon after it is `stopped`.

    It works beside this thread, which is the one that hears signals. The solver's own handler
    is not used: it leaves the process with none, so that the next Ctrl-C would kill it.
    """
    solver.parameters.catch_sigint_signal = False
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
        if stopped():
            solver.stop_search()  # again and again: at first there may be no search to stop
    if failed:
        raise failed[0]
    return ended[0]


def run_through(solver: cp_model.CpSolver, model: cp_model.CpModel) -> Any:
    """Return the status of a search that is needed to its end: Ctrl-C is KeyboardInterrupt."""
    stop = Event()
    with heard(stop.set):
        status = run(solver, model, stop.is_set)
    if stop.is_set():
        raise KeyboardInterrupt
    return status
