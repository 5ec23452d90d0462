"""Catalogues: what they hold, files sent, copies, undo, taken off and put back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Final

from fastapi import APIRouter, Form, Request, UploadFile
from fastapi.responses import HTMLResponse, RedirectResponse
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.page import shelf_tasks
from fitsolver.page.catalogue_head import head_of, path_of, path_of_family
from fitsolver.page.pool import BusyError
from fitsolver.page.room import In
from fitsolver.page.said import said
from fitsolver.page.sections import under_headings
from fitsolver.page.shelf_read import catalogue_of, without_path
from fitsolver.page.uploads import contents
from fitsolver.reading.toml_edit import with_values
from fitsolver.reading.toml_text import value_text
from fitsolver.records.figures import Figures
from fitsolver.records.review import Doubt
from fitsolver.verbs.report import report

router = APIRouter(include_in_schema=False)
Word = Annotated[str, Form(max_length=200)]
#: Files of a catalogue that may be sent at once: its tables and the sheets of its families.
_MOST_FILES: Final = 300


@router.get("/catalogues")
async def catalogues(request: Request, room: In) -> HTMLResponse:
    """Every catalogue that is known here, and the ways to bring another."""
    shelf = room.shelf
    listed = [
        (key, item, shelf.families(key), shelf.may_change(key), shelf.of_start(key))
        for key, item in shelf.all().items()
    ]
    return room.show(
        request,
        "catalogues.html",
        listed=sorted(listed, key=lambda item: item[4]),
        taken_off=shelf.taken_off(),
        broken=shelf.broken,
    )


@router.post("/catalogues/upload")
async def upload(request: Request, room: In, files: list[UploadFile]) -> RedirectResponse:
    """Keep a catalogue from its files or from one workbook, and show what it holds."""
    key = await room.take_in(request, await contents(files, most=_MOST_FILES))
    return RedirectResponse(path_of(key), 303)


@router.get("/catalogues/{key}")
async def catalogue(request: Request, room: In, key: str) -> HTMLResponse:
    """What a catalogue holds: its families, doubtful entries."""
    families = room.shelf.families(key)
    found, refusal = None, ""
    try:
        version = await run_in_threadpool(room.shelf.version, key)
        found = await room.ask(request, shelf_tasks.summed_up, room.shelf.folder(key), version)
    except BusyError:
        raise
    except InputError as error:  # too much for one look: its families are there all the same
        refusal = said(without_path(error, room.shelf.folder(key)))
    sections = [] if found is None else under_headings(report(found))
    return room.show(
        request,
        "catalogue.html",
        **head_of(room, key),
        families=families or (room.shelf.get(key).family,),
        summaries={} if found is None else {one.family: one for one in found.families},
        figures=None if found is None else Figures(found.unit),
        sections=[] if found is not None and found.families else sections,
        doubtful=[] if found is None or not found.families else _grouped(found.doubtful),
        refusal=refusal,
    )


def _grouped(doubts: Sequence[Doubt]) -> list[tuple[str, int, str]]:
    """Return doubtful entries, of several the same once: sentence, how many, the first."""
    found: dict[str, list[str]] = {}
    for doubt in doubts:
        found.setdefault(doubt.sentence, []).append(doubt.number or doubt.table)
    return [(said_, len(of), ", ".join(of[:3])) for said_, of in found.items()]


@router.post("/catalogues/{key}/undo")
async def undo(room: In, key: str, family: Word = "") -> RedirectResponse:
    """Put back the state of a catalogue before the last change."""
    await run_in_threadpool(room.shelf.undo, key)
    return RedirectResponse(path_of_family(key, family) if family else path_of(key), 303)


@router.post("/catalogues/{key}/copy")
async def copy(request: Request, room: In, key: str) -> RedirectResponse:
    """Keep a copy of a catalogue that can be changed."""
    sent = await run_in_threadpool(room.shelf.files, key)
    head = sent["catalogue.toml"].decode("utf-8-sig")
    name = value_text(f"{room.shelf.get(key).name} (copy)")
    sent["catalogue.toml"] = with_values(head, {"name": name}).encode()
    files = room.shelf.named(list(sent.items()))
    found = await room.work(request, catalogue_of, files)
    return RedirectResponse(path_of(await run_in_threadpool(room.shelf.keep, files, found)), 303)


@router.post("/catalogues/{key}/take-off")
async def take_off(room: In, key: str) -> RedirectResponse:
    """Take a catalogue that was sent off the shelf; it can be put back."""
    await run_in_threadpool(room.shelf.take_off, key)
    return RedirectResponse("/catalogues", 303)


@router.post("/catalogues/{key}/put-back")
async def put_back(room: In, key: str) -> RedirectResponse:
    """Put a catalogue back that was taken off."""
    await run_in_threadpool(room.shelf.put_back, key)
    return RedirectResponse(path_of(key), 303)
