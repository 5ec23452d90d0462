"""A job on the bench: readings in, form and plan at once, and every report of it."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Form
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.page.bench import content_of, text_like
from fitsolver.page.compared import Compared, compared, without_compared
from fitsolver.page.content import for_reading, said_plainly
from fitsolver.page.pool import TooLongError
from fitsolver.page.reports import DRAWN, REPORTS, has_drawing
from fitsolver.page.room import About, Inquiry
from fitsolver.page.sections import SectionOfReport
from fitsolver.page.tasks import VERBS
from fitsolver.page.uncertain import measured_with, with_each_set
from fitsolver.reporting.order_csv import order_csv
from fitsolver.reporting.schema import to_json
from fitsolver.usecases.budget import is_measured

router = APIRouter(prefix="/jobs/{key}", include_in_schema=False)

#: The step that a report belongs to.
_STEP: Final = {"bore": "measure", "plan": "machine", "final": "check"}


async def _kept(about: Inquiry, text: str, version: str) -> None:
    data = content_of(text)  # what is no job file is refused
    try:
        before = about.content
    except InputError:  # that is what is being put right
        before = {}
    kept = await run_in_threadpool(text_like, text, said_plainly(data, before))
    await run_in_threadpool(about.room.drafts.change, about.key, kept, version)


@router.get("/text")
async def text(about: About) -> HTMLResponse:
    """The whole job as the text of a job file."""
    return about.show("text.html", **about.shown(), text=about.draft.text, refusal="")


@router.post("/text")
async def change_text(
    about: About, text: Annotated[str, Form()], version: Annotated[str, Form(max_length=40)]
) -> Response:
    """Replace the job by a text; an invalid job file is shown again with what is wrong."""
    head = about.shown()
    try:
        await _kept(about, text.replace("\r\n", "\n"), version)
    except InputError as error:
        return about.show("text.html", 400, **head, text=text, refusal=str(error))
    return RedirectResponse(f"/jobs/{about.key}", 303)


@router.get("/job.toml")
async def file(about: About) -> Response:
    """The job as a file to keep, for the command line too."""
    text = await run_in_threadpool(text_like, about.draft.text, for_reading(about.content))
    return _download(text, "application/toml", "job.toml")


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
    return RedirectResponse(f"/jobs?removed={about.key}", 303)


@router.post("/give-back")
async def give_back(about: About) -> RedirectResponse:
    """Put a job back on the bench."""
    about.room.drafts.give_back(about.key)
    return RedirectResponse(f"/jobs/{about.key}", 303)


@router.get("/report/{verb}")
async def report(about: About, verb: str) -> Response:
    """One report of a job; the final check is a step."""
    if verb == "final":
        return RedirectResponse(f"/jobs/{about.key}/check", 303)
    if verb not in VERBS:
        raise InputError("there is no such report", found=verb[:40], allowed=", ".join(VERBS))
    parts: list[SectionOfReport] = []
    tables: tuple[Compared, ...] = ()
    refusal, drawn = "", None
    head = about.shown()
    head["step"] = _STEP.get(verb, "choose")
    if verb == "budget" and not is_measured((await about.understood())[0]):
        shown = await with_each_set(about)
        return about.show("instruments.html", **head, title_said=REPORTS[verb], shown=shown)
    try:
        answer = await about.report(verb)
        drawn = DRAWN.get(verb)
        if drawn is not None and not has_drawing(drawn.name, answer):
            drawn = None
        tables, parts = compared(answer), without_compared(answer)
    except TooLongError as error:
        refusal = str(error)
    return about.show(
        "report.html",
        **head,
        verb=verb,
        sections=parts,
        tables=tables,
        refusal=refusal,
        drawn=drawn,
    )


@router.post("/instruments")
async def instruments(about: About, chosen: Annotated[str, Form(max_length=40)]) -> Response:
    """Say which ready-made set a job was measured with; then its uncertainty is shown."""
    before, data = about.draft, measured_with(about, chosen)
    text = await run_in_threadpool(text_like, before.text, data)
    await run_in_threadpool(about.room.drafts.change, about.key, text, before.version)
    return RedirectResponse(f"/jobs/{about.key}/report/budget", 303)
