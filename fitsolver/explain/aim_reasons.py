"""Refusals caused by an aim, not by a part: the aim leaves no room inside the window."""

from __future__ import annotations

from fitsolver.base.lengths import format_length
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import NoFit, Reason
from fitsolver.records.windows import Window, find_window
from fitsolver.solving.possible import possible
from fitsolver.solving.problem import problem


def with_aim(no_fit: NoFit, job: Job, catalogue: Catalogue) -> NoFit:
    """Return why nothing fits, led by the aims where there is a plan without them."""
    aimed = [(c, window) for c in job.cylinders if (window := _aimed(job, c)) is not None]
    if not aimed or not possible(problem(_without(job), catalogue)):
        return no_fit
    way = "the aim, not the part, is what fails: without it there is a plan"
    return no_fit.model_copy(
        update={
            "reasons": (*(_reason(job, *each) for each in aimed), *no_fit.reasons),
            "ways_left": (way, *no_fit.ways_left),
        }
    )


def _aimed(job: Job, cylinder: Cylinder) -> Window | None:
    window = find_window(job.windows_for(cylinder), "clearance")
    return window if window is not None and window.aim else None


def _without(job: Job) -> Job:
    """Return the job with no aim in any window."""
    cylinders = tuple(
        cylinder.model_copy(update={"windows": _plain(cylinder.windows)})
        for cylinder in job.cylinders
    )
    return job.model_copy(update={"windows": _plain(job.windows), "cylinders": cylinders})


def _plain(windows: tuple[Window, ...]) -> tuple[Window, ...]:
    return tuple(window.model_copy(update={"aim": 0}) for window in windows)


def _reason(job: Job, cylinder: Cylinder, window: Window) -> Reason:
    aim = format_length(window.aim, job.unit, symbol=True)
    return Reason(
        cylinder=cylinder.name,
        rule="clearance",
        sentence=f"{aim} above the lowest clearance is the aim: it leaves the work no room",
    )
