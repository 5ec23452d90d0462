"""Run the solver so that Ctrl-C is heard while it works."""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from threading import Event, Thread, current_thread, main_thread
from typing import Any, Final, Protocol, TypeVar

Item = TypeVar("Item")

#: How often a wait looks up (seconds).
_LOOK_UP: Final = 0.1


class Timed(Protocol):
    """What tells that the time is over."""

    @property
    def over(self) -> bool:
        """Tell whether it is."""

    def interrupt(self) -> None:
        """End it, as Ctrl-C asks."""


class Solver(Protocol):
    """The part of CP-SAT's solver that running it needs."""

    @property
    def parameters(self) -> Any: ...

    def solve(self, model: Any) -> Any:
        """Return the status that the search ends with."""

    def stop_search(self) -> None:
        """End the search soon."""


Worker = TypeVar("Worker", bound=Solver)


class TimeOverError(Exception):
    """The time in force is over: what was being found out is not known."""


#: The times within which everything is to be found out; with none there is no end of it.
_IN_FORCE: ContextVar[tuple[Timed, ...]] = ContextVar("times in force", default=())


@contextmanager
def within(clock: Timed) -> Iterator[None]:
    """Let every search and every `look` inside raise TimeOverError once the time is over.

    Ctrl-C ends the time. A time that is in force already stays so beside it, and is then the one
    that Ctrl-C ends.
    """
    with heard(clock.interrupt):
        before = _IN_FORCE.set((*_IN_FORCE.get(), clock))
        try:
            yield
        finally:
            _IN_FORCE.reset(before)


def in_time(items: Iterable[Item], clock: Timed) -> tuple[tuple[Item, ...], bool]:
    """Return what is found out until the time is over, and whether that is all."""
    found: list[Item] = []
    try:
        with within(clock):
            for item in items:
                found.append(item)
    except TimeOverError:
        return tuple(found), False
    return tuple(found), True


def look() -> None:
    """Raise TimeOverError where the time in force is over: for work outside the solver."""
    if _over():
        raise TimeOverError


def looking(items: Iterable[Item]) -> Iterator[Item]:
    """Yield the items, with a `look` before each."""
    for item in items:
        look()
        yield item


def _over() -> bool:
    return any(clock.over for clock in _IN_FORCE.get())


@contextmanager
def heard(told: Callable[[], None]) -> Iterator[None]:
    """Let Ctrl-C call `told` in place of raising KeyboardInterrupt.

    Where signals do not come (in another thread) or are to be ignored, nothing is changed; nor
    where it ends the time in force.
    """
    if _IN_FORCE.get():
        yield
        return
    before = signal.getsignal(signal.SIGINT)
    if current_thread() is not main_thread() or not callable(before):
        yield
        return
    signal.signal(signal.SIGINT, lambda *_: told())
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def one_worker(solver: Worker, seconds: float | None) -> Worker:
    """Return a solver set to one worker and a time limit in seconds (None: without)."""
    solver.parameters.num_workers = 1
    if seconds is not None:
        solver.parameters.max_time_in_seconds = seconds
    return solver


def run(solver: Solver, model: Any, stopped: Callable[[], bool]) -> Any:
    """Return the status that the solver ends with, by itself or soon after it is `stopped`.

    Raises TimeOverError where the time in force is over by then.

    It works beside this thread, which is the one that hears signals. The solver's own handler is
    not used: it leaves the process with none, so that the next Ctrl-C would kill it.
    """
    solver.parameters.catch_sigint_signal = False
    look()
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
        if stopped() or _over():
            solver.stop_search()  # again and again: at first there may be no search to stop
    if failed:
        raise failed[0]
    look()
    return ended[0]


def run_through(solver: Solver, model: Any) -> Any:
    """Return the status of a search that is needed to its end: Ctrl-C is KeyboardInterrupt."""
    stop = Event()
    with heard(stop.set):
        status = run(solver, model, stop.is_set)
    if stop.is_set():
        raise KeyboardInterrupt
    return status
