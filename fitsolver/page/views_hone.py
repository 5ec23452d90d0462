"""A job at the hone: big figures to read from the machine, and one pass entered after another."""

from __future__ import annotations

import hashlib
from typing import TypedDict
from urllib.parse import quote

from fastapi import APIRouter
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import exact_text
from fitsolver.honing.log import LogText, append_entry, entry_line, log_text, parse_log
from fitsolver.page import tasks
from fitsolver.page.drafts import ChangedError
from fitsolver.page.reports import as_picture
from fitsolver.page.room import About
from fitsolver.page.sections import sections
from fitsolver.page.steps_shown import standing_of
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.figures import Figures
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.plan import Answer, Plan
from fitsolver.usecases.honing import Hone

router = APIRouter(prefix="/jobs/{key}/hone", include_in_schema=False)
machine = APIRouter(prefix="/jobs/{key}/machine", include_in_schema=False)
_MOST_READINGS = 400


async def _opened(about: About) -> tuple[Job, Catalogue, Plan]:
    """Return the job with the plan that its bores are honed to."""
    answer = await about.pick()
    if answer.plan is None:
        raise InputError("nothing fits, so there is no size to hone to", allowed="see Why")
    return *await about.understood(), answer.plan


@router.get("")
async def hone(about: About) -> RedirectResponse:
    """Where this stood before the steps."""
    return RedirectResponse(f"/jobs/{about.key}/machine", 303)


@machine.get("")
async def at_the_hone(about: About, cylinder: str = "") -> HTMLResponse:
    """Where every bore stands by the passes entered so far, and the stages of each."""
    standing = await standing_of(about, "machine")
    plan = standing.plan
    honed = [item.cylinder for item in plan.cylinders if item.machined] if plan else []
    if plan is None or not honed:
        return about.show("machine.html", **standing.shown(), answer=None, plan=plan, stages=None)
    job, catalogue = await about.understood()
    held = _log(about)
    found = await about.ask(tasks.at_the_hone, job, catalogue, plan, _as_text(held))
    named = {state.cylinder for state in found.cylinders}
    return about.show(
        "machine.html",
        **standing.shown(),
        plan=plan,
        stages=sections(await about.report("plan")),
        stones=_last_stones(held, job),
        answer=found,
        figures=Figures(found.unit),
        sections=sections(found),
        honed=honed,
        after=_known(held),
        cylinder=cylinder if cylinder in honed else next(iter(sorted(named & {*honed})), ""),
        grids={item.name: _places(item, job) for item in job.cylinders if item.name in honed},
        dial=any(reading.dial is not None for item in job.cylinders for reading in item.readings),
    )


def _last_stones(held: LogText, job: Job) -> str:
    """Return the stones of the last pass: the next one is mostly with the same."""
    passes = [entry.done.stones for entry in parse_log(held, job).entries if entry.done.stones]
    return passes[-1] if passes else ""


class Places(TypedDict):
    """The axes that were read before, and for each depth the number of its field on each axis."""

    axes: list[str]
    rows: list[tuple[str, list[tuple[str, int | None]]]]


def _places(cylinder: Cylinder, job: Job) -> Places:
    """Return the depths and axes that were read before, each with its number in the form."""
    axes = list(dict.fromkeys(reading.axis for reading in cylinder.readings))
    numbers = {(r.depth, r.axis): place for place, r in enumerate(cylinder.readings)}
    depths = dict.fromkeys(reading.depth for reading in cylinder.readings)
    rows = [
        (exact_text(depth, job.unit), [(axis, numbers.get((depth, axis))) for axis in axes])
        for depth in depths
    ]
    return {"axes": axes, "rows": rows}


def _log(about: About) -> LogText:
    return log_text(about.room.drafts.log(about.key))


def _as_text(log: LogText) -> str:
    """Return what a log holds, whatever its bytes are."""
    return log.content.decode("utf-8", "surrogateescape")


def _known(log: LogText) -> str:
    """Return what a form remembers a log by, so that no pass is entered twice."""
    return hashlib.sha256(log.content).hexdigest()[:16]


@router.get("/log.svg")
async def plot(about: About) -> Response:
    """The passes, and what they predict, as a drawing."""
    job, catalogue, plan = await _opened(about)
    held = _as_text(_log(about))
    found = await about.ask(tasks.at_the_hone, job, catalogue, plan, held)
    if not found.cylinders:
        raise InputError("there is nothing to draw yet", found="hone")
    return as_picture(await about.ask(tasks.drawing, "hone", job, catalogue, found))


@router.post("")
async def enter(about: About) -> RedirectResponse:
    """Add a pass to the log: it is on the disk before the answer comes."""
    job, catalogue, plan = await _opened(about)
    sent = await about.request.form(max_fields=500, max_files=0)
    fields = {name: " ".join(str(value).split()) for name, value in sent.items()}  # one line each
    line = _line(fields)
    accept = [name.strip() for name in fields.get("accept", "").split(",") if name.strip()]
    drafts = about.room.drafts

    def refuse(_: Job) -> Answer:
        raise AssertionError("an entry picks nothing")

    def enter() -> None:
        with drafts.lock:
            drafts.read(about.key)  # it may have been removed meanwhile
            held = _log(about)
            if fields.get("after", _known(held)) != _known(held):
                raise ChangedError(
                    "a pass was entered meanwhile, perhaps this one: look at the hone page first"
                )
            hone = Hone(job, plan, catalogue, held, tasks.RISK, refuse, accept)
            _, accepted = hone.entered(line)
            append_entry(drafts.log(about.key), line, accepted)

    await run_in_threadpool(enter)
    cylinder = quote(fields.get("cylinder", ""))
    return RedirectResponse(f"/jobs/{about.key}/machine?cylinder={cylinder}", 303)


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
async def log(about: About) -> HTMLResponse:
    """Every pass entered, as the log holds them."""
    job, _ = await about.understood()
    held = _log(about)
    head = about.shown()
    head["step"] = "machine"
    return about.show(
        "log.html",
        **head,
        text=held.content.decode("utf-8", "replace"),
        count=len(parse_log(held, job).entries),
    )
