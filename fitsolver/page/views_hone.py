"""A job at the hone: big figures to read from the machine, and one pass entered after another."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import exact_text
from fitsolver.honing.log import entry_line, read_log
from fitsolver.page import form, tasks
from fitsolver.page.bench import content_of, job_and_catalogue, understood
from fitsolver.page.drafts import ChangedError
from fitsolver.page.room import Room, room_of
from fitsolver.page.sections import sections
from fitsolver.page.views_job import REPORTS
from fitsolver.page.views_paper import as_picture
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.figures import Figures
from fitsolver.records.hone import HoneAnswer
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import Answer, Plan
from fitsolver.usecases.honing import Hone

router = APIRouter(prefix="/jobs/{key}/hone", include_in_schema=False)
In = Annotated[Room, Depends(room_of)]
_MOST_READINGS = 400


async def _opened(request: Request, room: Room, key: str) -> tuple[Job, Catalogue, Plan]:
    """Return the job with the plan that its bores are honed to."""
    job, catalogue = await run_in_threadpool(job_and_catalogue, room, key)
    answer = await room.answer(request, "pick", job, catalogue)
    assert isinstance(answer, Answer)
    if answer.plan is None:
        raise InputError("nothing fits, so there is no size to hone to", allowed="see Why")
    return job, catalogue, answer.plan


@router.get("")
async def at_the_hone(request: Request, room: In, key: str, cylinder: str = "") -> Any:
    """Where every bore stands by the passes entered so far."""
    job, catalogue, plan = await _opened(request, room, key)
    held = _content(room.drafts.log(key))
    found: HoneAnswer = await room.ask(request, tasks.at_the_hone, job, catalogue, plan, held)
    named = {state.cylinder for state in found.cylinders}
    honed = [item.cylinder for item in plan.cylinders if item.machined]
    return room.show(
        request,
        "hone.html",
        job=key,
        title=job.name,
        reports=REPORTS,
        answer=found,
        figures=Figures(found.unit),
        sections=sections(found),
        honed=honed,
        after=_known(held),
        cylinder=cylinder if cylinder in honed else next(iter(sorted(named & {*honed})), ""),
        grids={item.name: _places(item, job) for item in job.cylinders if item.name in honed},
        dial=any(reading.dial is not None for item in job.cylinders for reading in item.readings),
    )


def _places(cylinder: Cylinder, job: Job) -> dict[str, Any]:
    """Return the depths and axes that were read before, each with its number in the form."""
    axes = list(dict.fromkeys(reading.axis for reading in cylinder.readings))
    numbers = {(r.depth, r.axis): place for place, r in enumerate(cylinder.readings)}
    depths = dict.fromkeys(reading.depth for reading in cylinder.readings)
    rows = [
        (exact_text(depth, job.unit), [(axis, numbers.get((depth, axis))) for axis in axes])
        for depth in depths
    ]
    return {"axes": axes, "rows": rows}


def _content(path: Path) -> str:
    """Return what a log holds, whatever its bytes are."""
    return path.read_bytes().decode("utf-8", "surrogateescape") if path.exists() else ""


def _known(log: str) -> str:
    """Return what a form remembers a log by, so that no pass is entered twice."""
    return hashlib.sha256(log.encode("utf-8", "surrogateescape")).hexdigest()[:16]


@router.get("/log.svg")
async def plot(request: Request, room: In, key: str) -> Response:
    """The passes, and what they predict, as a drawing."""
    job, catalogue, plan = await _opened(request, room, key)
    held = _content(room.drafts.log(key))
    found: HoneAnswer = await room.ask(request, tasks.at_the_hone, job, catalogue, plan, held)
    if not found.cylinders:
        raise InputError("there is nothing to draw yet", found="hone")
    return as_picture(await room.ask(request, tasks.drawing, "hone", job, catalogue, found))


@router.post("")
async def enter(request: Request, room: In, key: str) -> Any:
    """Add a pass to the log: it is on the disk before the answer comes."""
    job, catalogue, plan = await _opened(request, room, key)
    sent = await request.form(max_fields=500, max_files=0)
    fields = {name: " ".join(str(value).split()) for name, value in sent.items()}  # one line each
    line = _line(fields)
    accept = [name.strip() for name in fields.get("accept", "").split(",") if name.strip()]
    log = room.drafts.log(key)

    def refuse(_: Job) -> Answer:
        raise AssertionError("an entry picks nothing")

    def enter() -> None:
        with room.drafts.lock:
            room.drafts.read(key)  # it may have been removed meanwhile
            if fields.get("after", _known(_content(log))) != _known(_content(log)):
                raise ChangedError(
                    "a pass was entered meanwhile, perhaps this one: look at the hone page first"
                )
            Hone(job, plan, catalogue, log, tasks.RISK, refuse, accept).enter(line)

    await run_in_threadpool(enter)
    return RedirectResponse(f"/jobs/{key}/hone?cylinder={_quoted(fields)}", 303)


def _quoted(fields: dict[str, str]) -> str:
    from urllib.parse import quote

    return quote(fields.get("cylinder", ""))


def _line(fields: dict[str, str]) -> str:
    """Return a form as one entry of the log."""
    cells = []
    for place in range(_MOST_READINGS):
        figure = fields.get(f"r{place}", "").strip()
        if figure:
            cells.append(f"{fields.get(f'd{place}', '')} {fields.get(f'a{place}', '')} {figure}")
    count = fields.get("count", "").strip()
    if fields.get("counted_in") == "seconds" and count:
        count = f"{count} s"
    head = (fields.get("cylinder", ""), count, fields.get("stones", ""), fields.get("warm", ""))
    return entry_line((*head, *cells))


@router.get("/log")
async def log(request: Request, room: In, key: str) -> Any:
    """Every pass entered, as the log holds them."""
    draft = room.drafts.read(key)
    job, _ = understood(content_of(draft.text), room.shelf)
    entries = read_log(room.drafts.log(key), job).entries
    return room.show(
        request,
        "log.html",
        job=key,
        title=form.shown(content_of(draft.text).get("name")),
        reports=REPORTS,
        text=_content(room.drafts.log(key))
        .encode("utf-8", "surrogateescape")
        .decode("utf-8", "replace"),
        count=len(entries),
    )
