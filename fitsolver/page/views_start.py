"""The first page: jobs on the bench, a new one, one from a file, catalogues."""

from __future__ import annotations

import datetime as dt
from contextlib import suppress
from typing import Annotated, Final

from fastapi import APIRouter, FastAPI, Form, Query, Request, UploadFile
from fastapi.responses import HTMLResponse, RedirectResponse
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.page import listing, tasks
from fitsolver.page.bench import text_of
from fitsolver.page.content import MOST, Content, tables
from fitsolver.page.room import In, Room
from fitsolver.page.sections import under_headings
from fitsolver.page.uploads import contents
from fitsolver.reading.family_sheet import SHEET, family_sheets
from fitsolver.reading.job_file import read_job
from fitsolver.reading.job_template import grooves_of, needed_windows
from fitsolver.reading.job_text import job_text
from fitsolver.reading.owners import SHOP
from fitsolver.verbs.report import report

router = APIRouter(include_in_schema=False)
#: What stands between a catalogue and a family of it in the choice of a new job.
_OF: Final = " / "


@router.get("/")
@router.get("/jobs")
async def start(
    request: Request,
    room: In,
    words: Annotated[str, Query(max_length=200)] = "",
    removed: Annotated[str, Query(max_length=16)] = "",
) -> HTMLResponse:
    """The jobs on the bench, those that have all of some words, and the ways to begin one."""
    found = await run_in_threadpool(listing.listed, room.drafts, room.shelf, words)
    return room.show(
        request,
        "start.html",
        jobs=found.jobs,
        count=found.count,
        words=words,
        removed=listing.removed(room.drafts),
        just_removed=removed,
        catalogues=room.shelf.all(),
        broken=room.shelf.broken,
        examples=_examples(room),
        engines=_engines(room),
    )


def _examples(room: Room) -> list[tuple[str, str]]:
    """Return the job files that lie in the catalogue folders the page was started with."""
    return [
        (key, path.stem)
        for key, folder in room.settings.catalogues.items()
        for path in sorted(folder.glob("*.toml"))
        if path.name not in ("catalogue.toml", SHEET, SHOP)
    ]


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
    key, _, of_choice = catalogue.partition(_OF)
    family = family or of_choice
    parts = room.shelf.get(key)
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


def _engines(room: Room) -> list[tuple[str, str]]:
    """Return what a job may be begun with: a family of a catalogue, or a catalogue alone."""
    found = []
    for key, parts in room.shelf.all().items():
        with suppress(InputError):
            found += [
                (f"{key}{_OF}{family}", f"{family} ({parts.name})")
                for family in family_sheets(room.shelf.folder(key))
            ]
    plain = [(key, f"{item.name}, every figure typed") for key, item in room.shelf.all().items()]
    return [*found, *plain]


@router.post("/jobs/example")
async def example(room: In, which: Annotated[str, Form(max_length=200)]) -> RedirectResponse:
    """Begin a job as a copy of one that lies beside its catalogue."""
    for key, stem in _examples(room):
        if which == f"{key}/{stem}":
            job = read_job(room.settings.catalogues[key] / f"{stem}.toml")
            text = job_text(job.model_copy(update={"catalogue": key}))
            return _to(room.drafts.new(text).key)
    raise InputError("there is no such example", found=which[:60])


@router.post("/jobs/upload")
async def upload_job(
    request: Request,
    room: In,
    files: list[UploadFile],
    catalogue: Annotated[str, Form(max_length=200)],
) -> RedirectResponse:
    """Begin a job from a job file and its sheets."""
    sent = tuple(await contents(files))
    data = await room.work(request, tasks.job_sent, sent, room.shelf.folder(catalogue))
    return _to(room.drafts.new(text_of({**data, "catalogue": catalogue})).key)


@router.post("/catalogues/upload")
async def upload_catalogue(request: Request, room: In, files: list[UploadFile]) -> RedirectResponse:
    """Keep a catalogue from its files, and show what it holds."""
    key = await room.take_in(request, await contents(files))
    return RedirectResponse(f"/catalogues/{key}", 303)


@router.get("/catalogues/{key}")
async def catalogue(request: Request, room: In, key: str) -> HTMLResponse:
    """What a catalogue holds, its missing sizes and doubtful entries."""
    from fitsolver.base.version import __version__
    from fitsolver.usecases.catalogue_review import review

    found = review(room.shelf.get(key), __version__)
    parts = under_headings(report(found))
    return room.show(request, "report.html", title=found.catalogue, sections=parts, job=None)


@router.get("/api")
async def api_page(request: Request, room: In) -> HTMLResponse:
    """The JSON API, told from its own description."""
    app: FastAPI = request.app
    return room.show(request, "api.html", described=app.openapi())


def _to(key: str) -> RedirectResponse:
    return RedirectResponse(f"/jobs/{key}", 303)
