"""Small invented jobs for the book: cylinders with a marking, a bore, and what follows."""

from __future__ import annotations

import datetime as dt
from functools import cache
from typing import Any

from fitsolver import decide
from fitsolver.records.hone import HonePass
from fitsolver.records.job import Cylinder, Job, PinnedRing
from fitsolver.records.plan import Answer
from fitsolver.records.readings import Reading
from tests.unit.rules import small

DAY = dt.date(2020, 3, 1)
BORE = small.READ


def cylinder(marking: str = "pump 7, left", size: int = BORE, **changes: Any) -> Cylinder:
    """A cylinder that read `size` and 30 ticks less, each once."""
    readings = (
        Reading(depth=1_000_000, angle=0, size=size),
        Reading(depth=1_000_000, angle=90, size=size - 30),
    )
    return small.cylinder(marking=marking, readings=readings, **changes)


def job(*cylinders: Cylinder, **changes: Any) -> Job:
    """A job of these cylinders, named 1, 2, ...; of one where none is given."""
    named = tuple(
        item.model_copy(update={"name": str(number)})
        for number, item in enumerate(cylinders or (cylinder(),), start=1)
    )
    return small.job(cylinders=named, **changes)


@cache
def planned() -> tuple[Job, Answer]:
    """The job of one cylinder, and the plan of it."""
    return job(), decide(job(), small.catalogue())


def strokes(count: int, size: int | None = None, name: str = "1") -> HonePass:
    """A pass, after which the bore read `size` where it is given."""
    read = () if size is None else (Reading(depth=1_000_000, angle=0, size=size),)
    return HonePass(cylinder=name, count=count, stones="180", readings=read)


def finished(size: int, marking: str = "pump 7, left", **changes: Any) -> Job:
    """The job after assembly: finished, with piston and ring named."""
    done = cylinder(marking, size, piston="P", piston_size=small.PISTON.skirt.low, **changes)
    pinned = done.model_copy(update={"rings": (PinnedRing(groove=1, number="R"),)})
    return job(pinned, finishing="already finished")
