"""Windows on what gaskets and compression height do besides the squish, where they apply."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

from fitsolver.base.lengths import LONGEST
from fitsolver.fits import compression
from fitsolver.fits.port_timing import Timed, timed
from fitsolver.records.base import Range
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.windows import Window, find_window

#: Longer than any length.
_NO_BORE: Final = LONGEST + 1


class TimedPort(NamedTuple):
    """A port under a window, with the engine's stroke and rod length (ticks)."""

    name: str
    window: Window
    travel: Timed
    stroke: int
    rod: int


class RatioWindow(NamedTuple):
    """A window on the compression ratio, with what the ratio is figured from.

    `stroke` and the squish `before` in ticks, `chamber` in cubic ticks.
    """

    window: Window
    stroke: int
    chamber: int
    before: int

    def smallest_bore(self, growth: int) -> int | None:
        """Return the least L (ticks) at a growth; above every bore where none will do."""
        if self.window.low is None:
            return None
        least = compression.smallest_bore(self.stroke, self.chamber, growth, self.window.low)
        return _NO_BORE if least is None else least

    def largest_bore(self, growth: int) -> int | None:
        """Return the most H (ticks) at a growth; None = any."""
        return compression.largest_bore(self.stroke, self.chamber, growth, self.window.high)

    def growth(self, squish: Range) -> Range:
        """Return how far the piston-to-head distance grows with a squish (ticks)."""
        return Range(low=squish.low - self.before, high=squish.high - self.before)


def timed_ports(job: Job, cylinder: Cylinder, windows: Sequence[Window]) -> tuple[TimedPort, ...]:
    """Return the ports of a cylinder whose timing has a window.

    None without a squish base, a stroke and a rod length.
    """
    stroke, rod = job.engine.stroke, job.engine.rod_length
    if cylinder.squish is None or stroke is None or rod is None:
        return ()
    found = []
    for port in cylinder.ports:
        window = find_window(windows, "port_timing", port=port.name)
        if window is not None:
            travel = timed(port.top, window.low, window.high, stroke, rod)
            found.append(TimedPort(port.name, window, travel, stroke, rod))
    return tuple(found)


def ratio_window(job: Job, cylinder: Cylinder, windows: Sequence[Window]) -> RatioWindow | None:
    """Return the window on the compression ratio of a cylinder.

    None without a squish as measured, a stroke and a chamber volume.
    """
    stroke, chamber, base = job.engine.stroke, job.engine.chamber_volume, cylinder.squish
    window = find_window(windows, "compression")
    if window is None or stroke is None or chamber is None:
        return None
    if base is None or base.squish_before is None:
        return None
    return RatioWindow(window, stroke, chamber, base.squish_before)
