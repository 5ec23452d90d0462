"""A job on the bench: readings in, form and plan at once, and every report of it."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Annotated, Final, TypedDict

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.page import form
from fitsolver.page.bench import Bench, content_of, on_the_bench, text_of
from fitsolver.page.drafts import Draft
from fitsolver.page.pool import TooLongError
from fitsolver.page.reports import DRAWN, has_drawing
from fitsolver.page.room import About, Inquiry, JobShown
from fitsolver.page.sections import SectionOfReport, sections
from fitsolver.page.tasks import VERBS
from fitsolver.reading.job_file import CONVENTIONS, FINISHINGS
from fitsolver.reading.sections import UNITS
from fitsolver.records.base import FITS
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.figures import Figures, money
from fitsolver.records.plan import Answer
from fitsolver.records.told import headlines
from fitsolver.reporting.order_csv import order_csv
from fitsolver.reporting.schema import to_json

router = APIRouter(prefix="/jobs/{key}", include_in_schema=False)

_ACTION: Final = re.compile(r"(add|remove)-(depth|cylinder|window)(?:-(\d{1,3}))?")


class OutcomeShown(TypedDict):
    """What the side of the page shows: the form, and the plan or what stands in its way."""

    marks: dict[str, str]
    refusal: str
    answer: Answer | None
    headlines: tuple[str, ...]
    figures: Figures | None
    money: Callable[[int, str], str]


class FormShown(JobShown):
    """What the form of a job shows, and what may be chosen in it."""

    fields: dict[str, str]
    grids: list[form.Grid]
    windows: int
    catalogues: dict[str, Catalogue]
    units: tuple[str, ...]
    finishings: tuple[str, ...]
    conventions: tuple[str, ...]
    fits: tuple[str, ...]


@router.get("")
async def bench(about: About) -> HTMLResponse:
    """The form of a job beside what it comes to."""
    found = await run_in_threadpool(on_the_bench, about.content, about.room.shelf)
    return about.show("job.html", **_form(about, found.data), **await _outcome(about, found))


def _form(about: Inquiry, data: form.Content) -> FormShown:
    cylinders = form.tables(data, "cylinder")
    return {
        **about.shown(),
        "fields": form.get(data),
        "grids": [form.grid(item, index) for index, item in enumerate(cylinders)],
        "windows": len(form.tables(data, "window")),
        "catalogues": about.room.shelf.all(),
        "units": UNITS,
        "finishings": FINISHINGS,
        "conventions": CONVENTIONS,
        "fits": FITS,
    }


async def _outcome(about: Inquiry, found: Bench) -> OutcomeShown:
    refusal, answer = found.refusal, None
    if found.job is not None and found.catalogue is not None:
        try:
            answer = await about.room.pick(about.request, found.job, found.catalogue)
        except InputError as error:
            refusal = str(error)
    return {
        "marks": found.marks,
        "refusal": refusal,
        "answer": answer,
        "headlines": () if answer is None else tuple(headlines(answer)),
        "figures": None if answer is None else Figures(answer.unit),
        "money": money,
    }


@router.post("")
async def change(about: About) -> RedirectResponse:
    """Keep what the form says, do what its button asks, and show the job again."""
    fields = await _fields(about.request)
    data = form.put(about.content, fields)
    action = _ACTION.fullmatch(fields.get("action", ""))
    if action:
        data = _done(data, action[1], action[2], int(action[3] or 0))
    await _kept(about, data, fields.get("version", ""))
    return RedirectResponse(f"/jobs/{about.key}{_place(data, action)}", 303)


async def _kept(about: Inquiry, data: form.Content, version: str) -> Draft:
    return await run_in_threadpool(about.room.drafts.change, about.key, text_of(data), version)


def _place(data: form.Content, action: re.Match[str] | None) -> str:
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


def _done(data: form.Content, act: str, what: str, index: int) -> form.Content:
    if what == "depth":
        return form.add_depth(data, index)
    return form.add_table(data, what) if act == "add" else form.without(data, what, index)


@router.post("/live")
async def live(about: About) -> JSONResponse:
    """Keep what was just typed; answer with what is wrong with it, and what it comes to."""
    fields = await _fields(about.request)
    data = form.put(about.content, fields)
    draft = await _kept(about, data, fields.get("version", ""))
    found = await run_in_threadpool(on_the_bench, data, about.room.shelf)
    outcome = await _outcome(about, found)
    side = about.room.templates.get_template("_outcome.html").render(**outcome, job=about.key)
    return JSONResponse({"version": draft.version, "marks": found.marks, "outcome": side})


async def _fields(request: Request) -> dict[str, str]:
    sent = await request.form(max_fields=20_000, max_files=0)
    return {name: value for name, value in sent.items() if isinstance(value, str)}


@router.get("/text")
async def text(about: About) -> HTMLResponse:
    """The whole job as the text of a job file."""
    return about.show("text.html", **about.shown(), text=about.draft.text, refusal="")


@router.post("/text")
async def change_text(
    about: About, text: Annotated[str, Form()], version: Annotated[str, Form(max_length=40)]
) -> Response:
    """Put a text in the job's place; one that is no job file is shown again with what is wrong."""
    head = about.shown()
    try:
        await _kept(about, content_of(text), version)
    except InputError as error:
        return about.show("text.html", 400, **head, text=text, refusal=str(error))
    return RedirectResponse(f"/jobs/{about.key}", 303)


@router.get("/job.toml")
async def file(about: About) -> Response:
    """The job as a file to keep, for the command line too."""
    return _download(text_of(form.for_reading(about.content)), "application/toml", "job.toml")


@router.get("/answer.json")
async def answer_document(about: About) -> Response:
    """The plan as the document that `pick --json` writes."""
    return _download(to_json(await about.pick()), "application/json", "")


@router.get("/order.csv")
async def order(about: About) -> Response:
    """The order list for a spreadsheet."""
    answer = await about.pick()
    if answer.plan is None:
        raise InputError("nothing fits, so there is nothing to order")
    return _download(order_csv(answer.plan), "text/csv", "order.csv")


def _download(content: str, kind: str, name: str) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"'} if name else {}
    return Response(content, media_type=kind, headers=headers)


@router.post("/remove")
async def remove(about: About) -> RedirectResponse:
    """Take a job off the bench; for a week it can be given back."""
    about.room.drafts.remove(about.key)
    return RedirectResponse("/", 303)


@router.post("/give-back")
async def give_back(about: About) -> RedirectResponse:
    """Put a job back on the bench."""
    about.room.drafts.give_back(about.key)
    return RedirectResponse(f"/jobs/{about.key}", 303)


@router.get("/report/{verb}")
async def report(about: About, verb: str) -> HTMLResponse:
    """One report of a job, in the words of the command line."""
    if verb not in VERBS:
        raise InputError("there is no such report", found=verb[:40], allowed=", ".join(VERBS))
    parts: list[SectionOfReport] = []
    refusal, drawn = "", None
    head = about.shown()
    try:
        answer = await about.report(verb)
        drawn = DRAWN.get(verb)
        if drawn is not None and not has_drawing(drawn.name, answer):
            drawn = None
        parts = sections(answer)
    except TooLongError as error:
        refusal = str(error)
    return about.show(
        "report.html", **head, verb=verb, sections=parts, refusal=refusal, drawn=drawn
    )
