"""The five steps of a job: measure, choose, order, machine, check; what is typed is kept."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final
from urllib.parse import urlsplit

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.page import changes, entered, tasks
from fitsolver.page.doubted import place_said
from fitsolver.page.drafts import ChangedError, Draft
from fitsolver.page.finished import to_check
from fitsolver.page.room import About, Inquiry
from fitsolver.page.said import said
from fitsolver.page.sections import sections
from fitsolver.page.standing import told
from fitsolver.page.steps_shown import Standing, choose_shown, measure_shown, standing_of
from fitsolver.records.figures import Figures
from fitsolver.records.told import order_rows
from fitsolver.records.words import RULE_WORDS, fit_name
from fitsolver.usecases.final import final_verdict

router = APIRouter(prefix="/jobs/{key}", include_in_schema=False)
_STEPS: Final = ("choose", "order", "machine", "check")
#: Buttons that change nothing, and have the step shown with more rows.
_SHOWN_MORE: Final = re.compile(
    r"(rows):(\d{1,3})|(more):([a-z_]{1,20}(?:\.\d{1,2}\.[a-z_]{1,20})?)"
)


@router.get("")
async def measure(about: About, rows: int = 0) -> HTMLResponse:
    """The readings of all bores, drawn as they come."""
    standing = await standing_of(about, "measure")
    return about.show("measure.html", **standing.shown(), **measure_shown(standing, rows))


@router.get("/strip")
async def strip(about: About) -> HTMLResponse:
    """The answer of now, to be put in the place of the old one."""
    at = urlsplit(about.request.headers.get("hx-current-url", "")).path.rpartition("/")[2]
    standing = await standing_of(about, at if at in _STEPS else "measure")
    return about.show("_strip_live.html", **standing.answered())


@router.get("/choose")
async def choose(about: About) -> HTMLResponse:
    """The engine's figures, windows, parts in hand, terms."""
    standing = await standing_of(about, "choose")
    return about.show("choose.html", **standing.shown(), **choose_shown(standing))


@router.get("/order")
async def order(about: About) -> HTMLResponse:
    """What to order, and whether the parts that came serve."""
    standing = await standing_of(about, "order")
    document = about.room.drafts.ordered(about.key)
    arrived, refused = [], None
    if document is not None and standing.bench.job is not None:
        try:
            job, catalogue = await about.understood()
            ordered = tasks.answer_sent("order", document.encode())
            arrived = sections(await about.ask(tasks.arrived, job, catalogue, ordered))
        except InputError as error:
            refused = error
    plan = standing.plan
    return about.show(
        "order.html",
        **standing.shown(),
        **choose_shown(standing),
        plan=plan,
        order=[] if plan is None else list(order_rows(plan)),
        plan_price="" if standing.answer is None else told(standing.answer).price,
        kept_order=standing.ordered,
        ordered=document is not None,
        arrived=arrived,
        arrived_refused=refused,
    )


@router.get("/check")
async def check(about: About) -> HTMLResponse:
    """Pass or fail for every fit of the finished bores, with the parts that are fitted."""
    standing = await standing_of(about, "check")
    checked, refused = None, None
    waiting: tuple[str, ...] = ()
    lacking: list[tuple[str, str]] = []
    fed: dict[str, str] = {}
    parts = ""
    if standing.plan is not None:
        try:
            ready = await to_check(about, standing.plan)
            waiting, fed, parts = ready.waiting, ready.fed, ready.parts
            if not waiting:
                _, catalogue = await about.understood()
                checked = await about.ask(final_verdict, ready.job, catalogue)
                await run_in_threadpool(about.room.drafts.check, about.key, checked.verdict)
        except InputError as error:
            refused = error
    else:
        lacking = _before_a_plan(standing)
    return about.show(
        "check.html",
        **standing.shown(),
        checked=checked,
        checked_refused=refused,
        lacking=[*lacking, *((words, "/machine") for words in waiting)],
        fed=fed,
        parts=parts,
        figures=None if checked is None else Figures(checked.unit),
        rules=RULE_WORDS,
        fit_name=fit_name,
    )


def _before_a_plan(standing: Standing) -> list[tuple[str, str]]:
    """Return what a job lacks for a plan, each with the place where it is typed."""
    found = [
        (lack.said, ("" if lack.step == "measure" else f"/{lack.step}") + f"#{lack.field}")
        for lack in standing.bench.lacks
    ]
    doubted = [(f"{place_said(doubt.id)}: doubted", "#notes") for doubt in standing.bench.doubts]
    refused = [] if standing.refusal is None else [(said(standing.refusal), "/choose")]
    return [*found, *doubted, *refused] or [("a plan: nothing fits as it is asked", "/choose")]


@router.post("/keep")
async def keep(about: About) -> Response:
    """Keep what was typed; with a button, do what it asks and show the step again."""
    fields = await _fields(about.request)
    action = fields.pop("action", "")
    if _is_partial(about.request) and not action:
        return await _live(about, fields)
    more = _SHOWN_MORE.fullmatch(action)
    if action == "undo":
        await run_in_threadpool(about.room.drafts.undo, about.key)
    else:
        await run_in_threadpool(_kept, about, fields, "" if more else action)
    step = fields.get("step", "")
    path = f"/jobs/{about.key}" + (f"/{step}" if step in _STEPS else "")
    asked = "" if more is None else "?" + "=".join(filter(None, more.groups()))
    return RedirectResponse(path + asked, 303)


def _is_partial(request: Request) -> bool:
    return request.headers.get("hx-request") == "true"


async def _live(about: About, fields: Mapping[str, str]) -> HTMLResponse:
    """Keep the fields that were typed just now; answer with what is wrong with them.

    The plan is begun with at once: the strip asks for it when this has come.
    """
    base = await run_in_threadpool(_kept_as_typed, about, fields)
    standing = await run_in_threadpool(Standing, about, fields.get("step", ""))
    if about.known is not None:
        about.ahead()
    return await run_in_threadpool(_typed, standing, base, fields)


def _kept_as_typed(about: Inquiry, fields: Mapping[str, str]) -> str:
    """Keep fields; return the text of the job that the form was drawn from."""
    base = _base(about, fields)
    about.now(_kept(about, fields, "", typed=True))
    return base


def _typed(standing: Standing, base: str, fields: Mapping[str, str]) -> HTMLResponse:
    """Return what is wrong with fields that were typed, and what others were changed elsewhere."""
    draft = standing.about.draft
    before, now = entered.entries_of(base), entered.entries_of(draft.text)
    others = {
        name: now.get(name, "")
        for name in {**before, **now}
        if name not in fields and before.get(name, "") != now.get(name, "")
    }
    whole = standing.bench.job is not None
    return standing.about.show(
        "_live.html",
        **standing.notes(drawn=not whole),
        version_of_job=draft.version,
        others=others,
        whole=whole,
    )


def _base(about: Inquiry, fields: Mapping[str, str]) -> str:
    """Return the version of the job that a form was drawn from; raises ChangedError if it is not
    kept.
    """
    text = about.room.drafts.past(about.key, fields.get("version", ""))
    if text is None:
        raise ChangedError(
            "this job was changed in another window so long ago that the two cannot be put "
            "together; what you typed is still here. Load the page again, and enter it once more"
        )
    return text


def _kept(about: Inquiry, fields: Mapping[str, str], action: str, *, typed: bool = False) -> Draft:
    """Save a form and its button's change. With `typed`, every field was typed just now."""
    drafts = about.room.drafts
    with drafts.lock:
        now = drafts.read(about.key)
        after = entered.entries_of(now.text)
        before = after if typed else entered.entries_of(_base(about, fields))
        try:
            data = entered.put(before, after, changes.content_of(now.text), fields)
        except entered.RowsGoneError as error:
            raise ChangedError(
                "rows of this job were taken out in another window meanwhile; what you typed is "
                "still here. Load the page again, and enter it once more"
            ) from error
        if action:
            data = changes.done(data, action, fields, about.room.shelf)
        return drafts.change(about.key, changes.text_like(now.text, data), now.version)


async def _fields(request: Request) -> dict[str, str]:
    sent = await request.form(max_fields=20_000, max_files=0)
    return {name: value for name, value in sent.items() if isinstance(value, str)}


@router.post("/duplicate")
async def duplicate(about: About) -> RedirectResponse:
    """Put a second job like this one on the bench, without its passes and its order."""
    data = {**about.content, "name": f"{about.content.get('name', 'job')}, copy"}
    text = await run_in_threadpool(changes.text_like, about.draft.text, data)
    return RedirectResponse(f"/jobs/{about.room.drafts.new(text).key}", 303)
