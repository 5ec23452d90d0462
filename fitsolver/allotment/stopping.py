"""Ctrl-C and SIGTERM end the search of a shop; the best result so far is shown."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from threading import current_thread, main_thread
from typing import Any, Final

from fitsolver.base.deadline import Clock

#: Seconds beyond the time limit in which a first solution may still reach further jobs.
_MOMENTS: Final = 1.2


def over(clock: Clock, moments: float = _MOMENTS) -> bool:
    """Tell whether the time is over, including the extra moments of a first solution."""
    return clock.left == 0 and clock.late > moments


@contextmanager
def signals_end(clock: Clock) -> Iterator[None]:
    """Let Ctrl-C and SIGTERM end the time; ignored signals stay ignored."""
    if current_thread() is not main_thread():
        yield
        return
    before: dict[signal.Signals, Any] = {}
    for each in (signal.SIGINT, signal.SIGTERM):
        known = signal.getsignal(each)
        if known == signal.SIG_DFL or callable(known):
            before[each] = signal.signal(each, lambda *_: clock.interrupt())
    try:
        yield
    finally:
        for each, known in before.items():
            signal.signal(each, known)
