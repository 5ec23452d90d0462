"""Windows on port timing and compression ratio, where they apply."""

from __future__ import annotations

from collections.abc import Sequence

from fitsolver.choices.types import RatioWindow, TimedPort
from fitsolver.fits.port_timing import timed
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.windows import Window, find_window


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
