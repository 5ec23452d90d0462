"""The job of the final check: bores as last read at the hone, with the parts of the plan."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from fitsolver.records.hone import HonePass
from fitsolver.records.job import Cylinder, Job, PinnedRing
from fitsolver.records.plan import CylinderPlan, Plan
from fitsolver.records.readings import Reading


class Finished(NamedTuple):
    """A job to check; `waiting` says what is missing for it, `fed` where readings come from."""

    job: Job
    waiting: tuple[str, ...]
    fed: dict[str, str]


def finished(job: Job, plan: Plan, passes: Sequence[HonePass]) -> Finished:
    """Return a job's bores as they are now, each with the parts that its plan gives it.

    A job that is finished already is checked as it is.
    """
    if job.finishing == "already finished" and all(c.piston for c in job.cylinders):
        return Finished(job, (), dict.fromkeys((c.name for c in job.cylinders), ""))
    planned = {item.cylinder: item for item in plan.cylinders}
    cylinders, waiting, fed = [], [], {}
    for cylinder in job.cylinders:
        item = planned[cylinder.name]
        found = _last(passes, cylinder)
        if item.machined and found is None:
            waiting.append(f"bore {cylinder.name}: readings after the last pass")
        count = sum(1 for one in passes if one.cylinder == cylinder.name)
        fed[cylinder.name] = f"as read after pass {count}" if found else "as it was read"
        cylinders.append(_fitted(cylinder, item, found))
    ready = job.model_copy(update={"finishing": "already finished", "cylinders": tuple(cylinders)})
    return Finished(ready, tuple(waiting), fed)


def _last(passes: Sequence[HonePass], cylinder: Cylinder) -> HonePass | None:
    """Return the last pass of a cylinder after which it was read."""
    mine = [one for one in passes if one.cylinder == cylinder.name and one.readings]
    return mine[-1] if mine else None


def _fitted(cylinder: Cylinder, item: CylinderPlan, found: HonePass | None) -> Cylinder:
    rings = tuple(PinnedRing(groove=ring.groove, number=ring.number) for ring in item.rings)
    changed: dict[str, object] = {
        "piston": item.piston.number,
        "piston_kept": item.piston.kept,
        "rings": rings,
        "route": None,
        "routes": (),
    }
    if found is not None:
        changed["readings"] = _over(cylinder.readings, found.readings)
        if found.temperature is not None and cylinder.temperatures is not None:
            warm = {"bore": found.temperature}
            changed["temperatures"] = cylinder.temperatures.model_copy(update=warm)
    return cylinder.model_copy(update=changed)


def _over(first: Sequence[Reading], last: Sequence[Reading]) -> tuple[Reading, ...]:
    """Return the readings of the last pass; where the zone ends the unworn ones are gone too."""
    return tuple(last) or tuple(first)
