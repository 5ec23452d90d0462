"""A job on the bench: readings in, form and plan at once, and every report of it."""

from __future__ import annotations

import re
from typing import Annotated, Any, Final

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.page import form
from fitsolver.page.answers import answer_of
from fitsolver.page.bench import Bench, content_of, on_the_bench, text_of
from fitsolver.page.drafts import Draft
from fitsolver.page.pool import TooLongError
from fitsolver.page.room import Room, room_of
from fitsolver.page.sections import sections
from fitsolver.page.tasks import VERBS
from fitsolver.page.views_paper import DRAWN, has_drawing
from fitsolver.reading.job_file import CONVENTIONS, FINISHINGS
from fitsolver.reading.sections import UNITS
from fitsolver.records.base import FITS
from fitsolver.records.figures import Figures, money
from fitsolver.records.plan import Answer
from fitsolver.records.told import headlines
from fitsolver.reporting.order_csv import order_csv
from fitsolver.reporting.schema import to_json

router = APIRouter(prefix="/jobs/{key}", include_in_schema=False)
In = Annotated[Room, Depends(room_of)]

#: Reports of a job: the verb, and what its page is called.
REPORTS: Final = {
    "pick": "Plan",
    "why": "Why",
    "alternatives": "Alternatives",
    "plan": "Machining",
    "ladder": "What is left",
    "firm": "How firm",
    "bore": "Form",
    "fits": "Part sets",
    "budget": "Uncertainty",
    "final": "Final check",
}
_ACTION: Final = re.compile(r"(add|remove)-(depth|cylinder|window)(?:-(\d{1,3}))?")


@router.get("")
async def bench(request: Request, room: In, key: str) -> Any:
    """The form of a job beside what it comes to."""
    draft = room.drafts.read(key)
    found = await run_in_threadpool(on_the_bench, content_of(draft.text), room.shelf)
    return room.show(
        request,
        "job.html",
        **_form(draft, found, room),
        **await _outcome(request, room, found),
    )


def _form(draft: Draft, found: Bench, room: Room) -> dict[str, Any]:
    cylinders = form.tables(found.data, "cylinder")
    return {
        "job": draft.key,
        "title": form.shown(found.data.get("name")) or "job",
        "version_of_job": draft.version,
        "fields": form.get(found.data),
        "grids": [form.grid(item, index) for index, item in enumerate(cylinders)],
        "windows": len(form.tables(found.data, "window")),
        "catalogues": room.shelf.all(),
        "units": UNITS,
        "finishings": FINISHINGS,
        "conventions": CONVENTIONS,
        "fits": FITS,
        "reports": REPORTS,
    }


async def _outcome(request: Request, room: Room, found: Bench) -> dict[str, Any]:
    """Return what the side of the page shows: the form, and the plan or what stands in its way."""
    shown: dict[str, Any] = {
        "marks": found.marks,
        "refusal": found.refusal,
        "answer": None,
        "figures": None,
        "money": money,
    }
    if found.job is None or found.catalogue is None:
        return shown
    try:
        answer = await room.answer(request, "pick", found.job, found.catalogue)
    except InputError as error:
        shown["refusal"] = str(error)
        return shown
    assert isinstance(answer, Answer)
    said = tuple(headlines(answer))
    return {**shown, "answer": answer, "headlines": said, "figures": Figures(answer.unit)}


@router.post("")
async def change(request: Request, room: In, key: str) -> Any:
    """Keep what the form says, do what its button asks, and show the job again."""
    fields = await _fields(request)
    draft = room.drafts.read(key)
    data = form.put(content_of(draft.text), fields)
    action = _ACTION.fullmatch(fields.get("action", ""))
    if action:
        data = _done(data, action[1], action[2], int(action[3] or 0))
    await run_in_threadpool(room.drafts.change, key, text_of(data), fields.get("version", ""))
    return RedirectResponse(f"/jobs/{key}{_place(data, action)}", 303)


def _place(data: dict[str, Any], action: re.Match[str] | None) -> str:
    """Return where on the page to go on after a button: a new depth, cylinder or window itself."""
    if action is None:
        return ""
    act, what, index = action[1], action[2], int(action[3] or 0)
    cylinders = form.tables(data, "cylinder")
    if what == "depth":
        rows = form.grid(cylinders[index], index).rows if index < len(cylinders) else ()
        return f"#{rows[-1].field}" if rows else "#cylinders"
    if act == "add":
        last = len(form.tables(data, what)) - 1
        return f"#c{last}_name" if what == "cylinder" else f"#w{last}_fit"
    return f"#{what}s"


def _done(data: dict[str, Any], act: str, what: str, index: int) -> dict[str, Any]:
    if what == "depth":
        return form.add_depth(data, index)
    return form.add_table(data, what) if act == "add" else form.without(data, what, index)


@router.post("/live")
async def live(request: Request, room: In, key: str) -> Any:
    """Keep what was just typed; answer with what is wrong with it, and what it comes to."""
    fields = await _fields(request)
    draft = room.drafts.read(key)
    data = form.put(content_of(draft.text), fields)
    draft = await run_in_threadpool(
        room.drafts.change, key, text_of(data), fields.get("version", "")
    )
    found = await run_in_threadpool(on_the_bench, data, room.shelf)
    outcome = await _outcome(request, room, found)
    side = room.templates.get_template("_outcome.html").render(**outcome, job=key)
    return JSONResponse({"version": draft.version, "marks": found.marks, "outcome": side})


async def _fields(request: Request) -> dict[str, str]:
    sent = await request.form(max_fields=20_000, max_files=0)
    return {name: value for name, value in sent.items() if isinstance(value, str)}


@router.get("/text")
async def text(request: Request, room: In, key: str) -> Any:
    """The whole job as the text of a job file."""
    draft = room.drafts.read(key)
    return room.show(request, "text.html", **named(draft), text=draft.text, refusal="")


@router.post("/text")
async def change_text(
    request: Request,
    room: In,
    key: str,
    text: Annotated[str, Form()],
    version: Annotated[str, Form(max_length=40)],
) -> Any:
    """Put a text in the job's place; one that is no job file is shown again with what is wrong."""
    draft = room.drafts.read(key)
    try:
        await run_in_threadpool(room.drafts.change, key, text_of(content_of(text)), version)
    except InputError as error:
        shown = {**named(draft), "text": text, "refusal": str(error)}
        return room.show(request, "text.html", 400, **shown)
    return RedirectResponse(f"/jobs/{key}", 303)


def named(draft: Draft) -> dict[str, Any]:
    try:
        name = form.shown(content_of(draft.text).get("name"))
    except InputError:
        name = ""
    return {
        "job": draft.key,
        "title": name or "job",
        "version_of_job": draft.version,
        "reports": REPORTS,
    }


@router.get("/job.toml")
async def file(room: In, key: str) -> Response:
    """The job as a file to keep, for the command line too."""
    data = form.for_reading(content_of(room.drafts.read(key).text))
    return _download(text_of(data), "application/toml", "job.toml")


@router.get("/answer.json")
async def answer_document(request: Request, room: In, key: str) -> Response:
    """The plan as the document that `pick --json` writes."""
    return _download(to_json(await answer_of(request, room, key, "pick")), "application/json", "")


@router.get("/order.csv")
async def order(request: Request, room: In, key: str) -> Response:
    """The order list for a spreadsheet."""
    answer = await answer_of(request, room, key, "pick")
    if answer.plan is None:
        raise InputError("nothing fits, so there is nothing to order")
    return _download(order_csv(answer.plan), "text/csv", "order.csv")


def _download(content: str, kind: str, name: str) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"'} if name else {}
    return Response(content, media_type=kind, headers=headers)


@router.post("/remove")
async def remove(room: In, key: str) -> Any:
    """Take a job off the bench; for a week it can be given back."""
    room.drafts.remove(key)
    return RedirectResponse("/", 303)


@router.post("/give-back")
async def give_back(room: In, key: str) -> Any:
    """Put a job back on the bench."""
    room.drafts.give_back(key)
    return RedirectResponse(f"/jobs/{key}", 303)


@router.get("/report/{verb}")
async def report(request: Request, room: In, key: str, verb: str) -> Any:
    """One report of a job, in the words of the command line."""
    if verb not in VERBS:
        raise InputError("there is no such report", found=verb[:40], allowed=", ".join(VERBS))
    draft = room.drafts.read(key)
    shown: dict[str, Any] = {**named(draft), "verb": verb, "sections": [], "refusal": ""}
    try:
        answer = await answer_of(request, room, key, verb)
        drawn = DRAWN.get(verb)
        if drawn is not None and has_drawing(drawn.name, answer):
            shown["drawn"] = drawn
        shown["sections"] = sections(verb, answer)
    except TooLongError as error:
        shown["refusal"] = str(error)
    return room.show(request, "report.html", **shown)
