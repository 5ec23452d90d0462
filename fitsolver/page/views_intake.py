"""A price or stock list taken in: sent, looked at, its questions answered, confirmed."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import Annotated, Final

from fastapi import APIRouter, Form, Request, UploadFile
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from fitsolver.base.demos import demo_list
from fitsolver.base.errors import InputError
from fitsolver.page import shelf_tasks
from fitsolver.page.calling import Question, kept_call
from fitsolver.page.drafts import ChangedError
from fitsolver.page.list_answers import Given, check_answers, with_answers
from fitsolver.page.list_shown import told
from fitsolver.page.lists import SUFFIXES, ListState
from fitsolver.page.room import In, Room
from fitsolver.page.said import said
from fitsolver.page.shelf_read import catalogue_of
from fitsolver.page.shelf_tasks import Looked
from fitsolver.page.uploads import contents
from fitsolver.reading.list_mapping import MAPPING
from fitsolver.records.intake import IntakeAnswer
from fitsolver.usecases.intake_told import told_of

router = APIRouter(include_in_schema=False)
#: What the demonstration's list does not say, and the name it is known by once it is taken in.
_DEMO: Final = (("clearance", "0.040 0.060"),)
_DEMO_TITLE: Final = "Demo: parts counter"
Word = Annotated[str, Form(max_length=200)]


@router.get("/intake")
async def begin(request: Request, room: In) -> HTMLResponse:
    """Send a list, for a new catalogue or one that was made from a list."""
    return room.show(
        request,
        "intake.html",
        targets=targets(room),
        suffixes=",".join(SUFFIXES),
        demo=demo_list() is not None,
    )


def targets(room: Room) -> dict[str, str]:
    """Return the catalogues that were made from a list and may be changed, by key."""
    return {
        key: item.name
        for key, item in room.shelf.all().items()
        if room.shelf.may_change(key) and (room.shelf.folder(key) / MAPPING).is_file()
    }


@router.post("/intake/upload")
async def upload(
    room: In,
    files: list[UploadFile],
    into: Word = "",
    title: Word = "",
    unit: Word = "mm",
) -> RedirectResponse:
    """Keep a list that was sent, to be looked at."""
    sent = await contents(files, most=1)
    if into:
        room.shelf.folder(into)
    name = Path(sent[0][0].replace("\\", "/")).name[:100]
    state = ListState(
        name=name,
        title=" ".join(title.split()) or Path(name).stem,
        into=into,
        unit="in" if unit == "in" else "mm",
    )
    key = await run_in_threadpool(room.lists.keep, name, sent[0][1], state)
    return RedirectResponse(f"/intake/{key}", 303)


@router.get("/intake/{key}")
async def look(request: Request, room: In, key: str) -> HTMLResponse:
    """What a list comes to: its questions, first rows, columns, what was not understood."""
    state = await run_in_threadpool(room.lists.read, key)
    return await _shown(request, room, key, state)


async def _shown(
    request: Request,
    room: Room,
    key: str,
    state: ListState,
    refusal: str = "",
    typed: Given | None = None,
) -> HTMLResponse:
    """Show a list; `typed` are answers of which one was refused, shown as they were typed."""
    answer, into = state.told, ""
    try:
        if state.into:
            into = room.shelf.get(state.into).name
        if answer is None:
            answer = await _looked(request, room, key, state)
    except ChangedError:
        raise
    except InputError as error:
        refusal = refusal or said(error)
    show = partial(
        room.show, request, "list.html", key=key, state=state, into=into, refusal=refusal
    )
    if answer is None:
        return show(answer=None)
    as_typed = state if typed is None else state.model_copy(update={"given": typed})
    return show(answer=answer, **told(room, as_typed, answer))


async def _looked(request: Request, room: Room, key: str, state: ListState) -> IntakeAnswer:
    file, folder, version = _places(room, key, state)
    return await room.ask(
        request, shelf_tasks.look_at_list, file, folder, version, state.unit, state.given
    )


def _places(room: Room, key: str, state: ListState) -> tuple[Path, Path | None, str]:
    file = room.lists.file(key)
    if not state.into:
        return file, None, ""
    return file, room.shelf.folder(state.into), room.shelf.version(state.into)


@router.post("/intake/{key}/answer")
async def answer_questions(request: Request, room: In, key: str) -> Response:
    """Keep the answers to a list's questions, and look at it again."""
    state = await run_in_threadpool(room.lists.read, key)
    given = with_answers(state.given, await _fields(request))
    try:
        check_answers(given, state.unit)
    except InputError as error:
        return await _shown(request, room, key, state, refusal=said(error), typed=given)
    await run_in_threadpool(room.lists.write, key, state.model_copy(update={"given": given}))
    return RedirectResponse(f"/intake/{key}", 303)


async def _fields(request: Request) -> Mapping[str, str]:
    form = await request.form()
    return {name[:300]: value[:2_000] for name, value in form.items() if isinstance(value, str)}


@router.post("/intake/{key}/forget")
async def forget(room: In, key: str) -> RedirectResponse:
    """Take back every answer about a list."""
    state = await run_in_threadpool(room.lists.read, key)
    await run_in_threadpool(room.lists.write, key, state.model_copy(update={"given": ()}))
    return RedirectResponse(f"/intake/{key}", 303)


@router.post("/intake/{key}/take")
async def take(request: Request, room: In, key: str) -> RedirectResponse:
    """Take a list in as it is understood: all of it, or nothing where something is in the way."""
    state = await run_in_threadpool(room.lists.read, key)
    if not state.taken:
        taken, answer = await _taken(request, room, key, state)
        done = {"taken": taken, "told": answer, "understood": len(answer.articles)}
        await run_in_threadpool(room.lists.write, key, state.model_copy(update=done))
    return RedirectResponse(f"/intake/{key}", 303)


async def _taken(
    request: Request, room: Room, key: str, state: ListState
) -> tuple[str, IntakeAnswer]:
    file, folder, version = _places(room, key, state)
    told_of(state.given, state.unit)
    looked: Looked = await room.work(
        request, shelf_tasks.take_list, file, folder, state.unit, state.given, state.title
    )
    if not looked.answer.taken_in:
        raise InputError(
            "the list is not taken in yet", allowed="an answer to each question that needs one"
        )
    return await run_in_threadpool(put_in, room, state.into, version, looked), looked.answer


def put_in(room: Room, into: str, version: str, looked: Looked) -> str:
    """Put a list's files into a catalogue, or make a new one of them; return its key."""
    if into:
        room.shelf.change(into, version, looked.files, looked.gone)
        return into
    files = {name: text.encode() for name, text in looked.files.items()}
    return room.shelf.keep(files, catalogue_of(files))


@router.get("/intake/{key}/not_understood.csv")
async def not_understood(request: Request, room: In, key: str) -> Response:
    """The rows that are not taken in as a table, each with its reason."""
    state = await run_in_threadpool(room.lists.read, key)
    answer = state.told or await _looked(request, room, key, state)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(("sheet", "row", "number", "description", "field", "reason"))
    for item in answer.unclear:
        row = (item.sheet, item.row, item.number, item.description, item.field, item.reason)
        writer.writerow([_harmless(str(cell)) for cell in row])
    name = {"content-disposition": 'attachment; filename="not_understood.csv"'}
    return Response(out.getvalue(), media_type="text/csv", headers=name)


def _harmless(cell: str) -> str:
    """Return a cell that no spreadsheet takes for a formula."""
    return f"'{cell}" if cell[:1] in "=+-@\t" and cell[:1] else cell


@router.post("/demo/list")
async def demo(request: Request, room: In) -> RedirectResponse:
    """Take the demonstration's price list in, with its shop's routes, and ask a first question."""
    known = [key for key, item in room.shelf.all().items() if item.name == _DEMO_TITLE]
    if not known:
        file = demo_list()
        if file is None:
            raise InputError("the demonstration's list is not here")
        looked: Looked = await room.work(
            request, shelf_tasks.take_list, file, None, "mm", _DEMO, _DEMO_TITLE
        )
        routes = (file.parent / "routes.csv").read_text(encoding="utf-8")
        looked = looked._replace(files={**looked.files, "routes.csv": routes})
        known = [await run_in_threadpool(put_in, room, "", "", looked)]
    return await kept_call(request, room, Question("Heron 54", "54.12", known[0]))
