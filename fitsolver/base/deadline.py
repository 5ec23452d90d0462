"""The time that a search may take, and who is told how far it is."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field

from fitsolver.base.errors import InputError

#: Called with a level's name and the seconds gone, whenever a level is begun.
Progress = Callable[[str, float], None]


@dataclass(slots=True)
class Clock:
    """How long the search may take (seconds of wall time; None = until it is done)."""

    limit: float | None = None
    progress: Progress | None = None
    started: float = field(default_factory=time.monotonic)
    interrupted: bool = False

    @property
    def gone(self) -> float:
        return time.monotonic() - self.started

    @property
    def left(self) -> float | None:
        return None if self.limit is None else max(0.0, self.limit - self.gone)

    def at_most(self, seconds: float) -> float:
        """Return the seconds given, or the time left where that is less."""
        left = self.left
        return seconds if left is None else min(seconds, left)

    @property
    def over(self) -> bool:
        """Tell whether the time is over."""
        return self.limit is not None and self.gone >= self.limit

    @property
    def late(self) -> float:
        """Return how many seconds ago the time was over; 0 while it is not."""
        return 0.0 if self.limit is None else max(0.0, self.gone - self.limit)

    def interrupt(self) -> None:
        """End the time, as Ctrl-C asks."""
        gone = self.gone
        self.interrupted, self.limit = True, gone if self.limit is None else min(self.limit, gone)

    def tell(self, what: str) -> None:
        if self.progress is not None:
            self.progress(what, self.gone)


def seconds(time_limit: float | None) -> float | None:
    """Return a time limit (seconds above 0); raises InputError for any other."""
    if time_limit is not None and not time_limit > 0:
        raise InputError(
            "this is no time", field="time limit", found=time_limit, allowed="seconds above 0"
        )
    return time_limit
