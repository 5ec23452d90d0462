"""Jobs on the bench, a new one, a copy of an example, one from a file."""

from __future__ import annotations

import datetime as dt
from typing import Annotated

from fastapi import APIRouter, Form, Query, Request, UploadFile
from fastapi.responses import HTMLResponse, RedirectResponse
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.page import listing, tasks
from fitsolver.page.beginnings import OF, engines, examples
from fitsolver.page.bench import text_of
from fitsolver.page.content import MOST, Content, tables
from fitsolver.page.room import In, Room
from fitsolver.page.uploads import contents
from fitsolver.reading.job_file import read_job
from fitsolver.reading.job_template import grooves_of, needed_windows
from fitsolver.reading.job_text import job_content

router = APIRouter(include_in_schema=False)


@router.get("/jobs")
async def start(
    request: Request,
    room: In,
    words: Annotated[str, Query(max_length=200)] = "",
    removed: Annotated[str, Query(max_length=16)] = "",
) -> HTMLResponse:
    """The jobs on the bench, those that have all of some words, and the ways to begin one."""
    found = await run_in_threadpool(listing.listed, room.drafts, room.benches, words)
    return room.show(
        request,
        "start.html",
        jobs=found.jobs,
        count=found.total,
        words=words,
        removed=listing.removed(room.drafts),
        just_removed=removed,
        catalogues=room.shelf.all(),
        broken=room.shelf.broken,
        examples=examples(room),
        engines=engines(room),
    )


@router.post("/jobs")
async def new_job(
    room: In,
    catalogue: Annotated[str, Form(max_length=200)],
    name: Annotated[str, Form(max_length=200)] = "",
    family: Annotated[str, Form(max_length=200)] = "",
    cylinders: Annotated[int, Form(ge=1, le=MOST)] = 1,
    how: Annotated[str, Form(max_length=40)] = "",
) -> RedirectResponse:
    """Begin a job with an empty sheet of readings; with a family its sheet's figures hold."""
    key, _, of_choice = catalogue.partition(OF)
    family = family or of_choice
    parts = room.shelf.get(key)
    if family:
        parts = room.shelf.get(key, family)
    data: Content = {
        "format": 2 if family else 1,
        "name": name.strip() or f"{family or parts.name}, {dt.date.today():%d.%m.%Y}",
        "units": parts.unit,
        "catalogue": key,
        "cylinder": [{"name": str(n + 1)} for n in range(cylinders)],
    }
    if how:
        data["finish"] = {"how": how}
    if family:
        data["family"] = family
    else:
        data["window"] = needed_windows(grooves_of(parts))
        for cylinder in tables(data, "cylinder"):
            cylinder["material"] = "iron"
    return _to(room.drafts.new(text_of(data)).key)


@router.post("/jobs/example")
async def example(room: In, which: Annotated[str, Form(max_length=200)]) -> RedirectResponse:
    """Begin a job as a copy of one that lies beside its catalogue."""
    for key, stem in examples(room):
        if which == f"{key}/{stem}":
            return _to(await run_in_threadpool(_copied, room, key, stem))
    raise InputError("there is no such example", found=which[:60])


def _copied(room: Room, key: str, stem: str) -> str:
    """Put a copy of an example on the bench; return its key."""
    job = read_job(room.settings.catalogues[key] / f"{stem}.toml")
    data = job_content(job.model_copy(update={"catalogue": key}))
    return room.drafts.new(text_of(data)).key


@router.post("/jobs/upload")
async def upload_job(
    request: Request,
    room: In,
    files: list[UploadFile],
    catalogue: Annotated[str, Form(max_length=200)],
) -> RedirectResponse:
    """Begin a job from a job file and its sheets."""
    sent = tuple(await contents(files))
    folder = room.shelf.folder(catalogue)
    text = await room.work(request, tasks.job_sent, sent, folder, catalogue)
    return _to(room.drafts.new(text).key)


def _to(key: str) -> RedirectResponse:
    return RedirectResponse(f"/jobs/{key}", 303)
