"""The end of the time limit, and progress reports until then."""

from __future__ import annotations

import time
from collections.abc import Callable

from fitsolver.base.deadline import Progress


def until(limit: float | None, progress: Progress | None = None) -> Callable[[], bool]:
    """Return a function that tells whether that many seconds from now have passed (None: never).

    Each call also reports to `progress`.
    """
    started = time.monotonic()

    def expired() -> bool:
        gone = time.monotonic() - started
        if progress is not None:
            progress("the pairs", gone)
        return limit is not None and gone >= limit

    return expired
