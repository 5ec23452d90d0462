"""The job of the final check: bores as last read at the hone, with the parts that came."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final, NamedTuple

from fitsolver.base.errors import InputError
from fitsolver.choices.candidates import pieces
from fitsolver.honing.log import log_text, parse_log
from fitsolver.metrology.form import deciding
from fitsolver.page import tasks
from fitsolver.page.passes import hone
from fitsolver.records.hone import HonePass
from fitsolver.records.job import Cylinder, InHand, Job, PinnedRing
from fitsolver.records.plan import CylinderPlan, Plan
from fitsolver.usecases.parts_arrived import on_the_bench, ordered_plan

if TYPE_CHECKING:
    from fitsolver.page.room import Inquiry

_OF_NOW: Final = "the parts of the plan of now"
_CAME: Final = {
    "ordered parts serve": "the parts that were ordered, as they came",
    "order again": "the parts that came, and those to be ordered again",
}


class Finished(NamedTuple):
    """A job to check; `waiting` says what is missing for it, `fed` where readings come from, and
    `parts` where the parts do."""

    job: Job
    waiting: tuple[str, ...]
    fed: dict[str, str]
    parts: str = ""


async def to_check(about: Inquiry, plan: Plan) -> Finished:
    """Return a job's bores after their last pass, with the parts that came.

    These are those of the order that is kept, as they serve now; without one those of the plan.
    Raises InputError for a log that cannot be understood, or whose readings are doubted.
    """
    job, catalogue = await about.understood()
    held = log_text(about.room.drafts.log(about.key))
    passes = [entry.done for entry in parse_log(held, job).entries]
    now = hone((job, catalogue, plan), held).as_honed() if passes else job
    document = about.room.drafts.ordered(about.key)
    if document is None or job.finishing == "already finished":
        return finished(job, now, plan, passes, _OF_NOW)
    try:
        ordered = tasks.answer_sent("order", document.encode())
        came = await about.ask(tasks.arrived, job, catalogue, ordered)
        here = on_the_bench(now, ordered_plan(ordered), catalogue)
    except InputError as error:
        why = f"{_OF_NOW}: the order that is kept is another ({error.message})"
        return finished(job, now, plan, passes, why)
    if came.plan is None:
        why = f"{_OF_NOW}: those that were ordered do not serve"
        return finished(job, now, plan, passes, why)
    return finished(job, here, came.plan, passes, _CAME.get(came.status, "the parts that came"))


def finished(job: Job, now: Job, plan: Plan, passes: Sequence[HonePass], parts: str) -> Finished:
    """Return a job's bores as they are `now`, each with the parts that a plan gives it.

    A job that is finished already is checked as it is.
    """
    if job.finishing == "already finished" and all(c.piston for c in job.cylinders):
        return Finished(job, (), dict.fromkeys((c.name for c in job.cylinders), ""))
    planned = {item.cylinder: item for item in plan.cylinders}
    cylinders, waiting, fed = [], [], {}
    for before, cylinder in zip(job.cylinders, now.cylinders, strict=True):
        item = planned[cylinder.name]
        mine = [one for one in passes if one.cylinder == cylinder.name]
        if item.machined and (lacking := _lacking(before, cylinder, mine)):
            waiting.append(f"bore {cylinder.name}: {lacking}")
        fed[cylinder.name] = f"as read after pass {len(mine)}" if mine else "as it was read"
        cylinders.append(_fitted(cylinder, item))
    changed = {"cylinders": tuple(cylinders), "in_hand": tuple(_reserved(now, plan))}
    ready = now.model_copy(update={"finishing": "already finished", **changed})
    return Finished(ready, tuple(waiting), fed, parts)


def _lacking(before: Cylinder, now: Cylinder, passes: Sequence[HonePass]) -> str:
    """Return what is not read yet of a bore that is honed; empty where all of it is."""
    if not passes:
        return "readings after the last pass"
    if not passes[-1].readings:
        return "readings after the last strokes"
    wanted = {(reading.depth, reading.angle) for reading in deciding(before)}
    read = {(reading.depth, reading.angle) for reading in now.readings}
    if missing := len(wanted - read):
        return f"the whole bore: {missing} of {len(wanted)} places were not read after that"
    return ""


def _reserved(job: Job, plan: Plan) -> list[InHand]:
    """Return the parts in hand, each measured piece kept for the cylinder that the plan puts it in:
    of two pieces of one number the final check must not take the other."""
    goes = {
        (part.number, part.piece): item.cylinder
        for item in plan.cylinders
        for part in (item.piston, *item.rings)
        if part.piece
    }
    found = []
    for held, piece in pieces(job):
        at = goes.get((held.number, piece)) if piece else None
        changed: dict[str, object] = {"count": 1} if piece else {}
        found.append(held.model_copy(update=changed | ({"cylinder": at} if at else {})))
    return found


def _fitted(cylinder: Cylinder, item: CylinderPlan) -> Cylinder:
    rings = tuple(PinnedRing(groove=ring.groove, number=ring.number) for ring in item.rings)
    changed: dict[str, object] = {
        "piston": item.piston.number,
        "piston_kept": item.piston.kept and cylinder.piston == item.piston.number,
        "rings": rings,
        "route": None,
        "routes": (),
    }
    return cylinder.model_copy(update=changed)
