"""A job at the machine: big figures to read from the hone, a pass after another, the stages."""

from __future__ import annotations

from typing import Annotated, Final, TypedDict
from urllib.parse import quote

from fastapi import APIRouter, Form
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.doubts.refusal import DoubtedError
from fitsolver.honing.log import LogText, log_text, parse_log
from fitsolver.page import passes, tasks
from fitsolver.page.bench import text_like
from fitsolver.page.drafts import ChangedError
from fitsolver.page.planned_again import now_measured
from fitsolver.page.reports import as_picture
from fitsolver.page.risk import RISK
from fitsolver.page.room import About
from fitsolver.page.sections import sections
from fitsolver.page.stages_ticked import Stage, stages_of
from fitsolver.page.standing import Row, Told, told
from fitsolver.page.steps_shown import Standing, standing_of
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.doubts import Doubt
from fitsolver.records.figures import Figures
from fitsolver.records.hone import HoneAnswer, HoneState
from fitsolver.records.job import Job
from fitsolver.records.plan import Plan
from fitsolver.records.stages import StagesAnswer

router = APIRouter(prefix="/jobs/{key}/hone", include_in_schema=False)
machine = APIRouter(prefix="/jobs/{key}/machine", include_in_schema=False)
_NOTHING: Final = passes.Refused()
#: Inches a drawing is wide whose words can be read on a phone.
_PHONE: Final = 4.0


class MachineHead(TypedDict):
    """What the machine shows of a job as a whole."""

    plan: Plan | None
    answer: HoneAnswer | None
    log_doubts: tuple[Doubt, ...]
    refused: passes.Refused


class BoreShown(TypedDict):
    """How one bore stands, its row of the answer, its passes, and what serves where it is large."""

    state: HoneState
    row: Row
    done: int
    again: Told | None


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
    return await _shown(about, cylinder, _NOTHING)


async def _shown(about: About, cylinder: str, refused: passes.Refused) -> HTMLResponse:
    """Show the machine; with a pass that was refused as it was typed."""
    standing = await standing_of(about, "machine")
    plan = standing.plan
    honed = [item.cylinder for item in plan.cylinders if item.machined] if plan else []
    head: MachineHead = {"plan": plan, "answer": None, "log_doubts": (), "refused": refused}
    if plan is None or not honed:
        return about.show("machine.html", **standing.shown(), **head, stages=[])
    job, catalogue = await about.understood()
    held = _log(about)
    try:
        found = await about.ask(tasks.at_the_hone, job, catalogue, plan, _as_text(held))
    except DoubtedError as error:
        head["log_doubts"] = error.doubts
        return about.show("machine.html", **standing.shown(), **head, stages=[])
    at = cylinder if cylinder in honed else honed[0]
    head["answer"] = found
    return about.show(
        "machine.html",
        _status(about, refused),
        **standing.shown(),
        **head,
        **await _of_bore(about, standing, found, at, (job, catalogue, plan)),
        stages=await _stages(about, at),
        typed={"stones": passes.last_stones(held, job), **refused.typed},
        figures=Figures(found.unit),
        sections=sections(found),
        honed=honed,
        after=passes.known(held),
        cylinder=at,
        grid=passes.places(next(item for item in job.cylinders if item.name == at), job),
        dial=any(reading.dial is not None for item in job.cylinders for reading in item.readings),
    )


def _status(about: About, refused: passes.Refused) -> int:
    """Return the code of the answer; what is put into a page is put there with 200 only."""
    if refused is _NOTHING or about.request.headers.get("hx-request") == "true":
        return 200
    return 409 if isinstance(refused.refusal, ChangedError) else 400


async def _of_bore(
    about: About,
    standing: Standing,
    found: HoneAnswer,
    at: str,
    opened: tuple[Job, Catalogue, Plan],
) -> BoreShown:
    """Return how one bore stands, where its dial stops, and what serves where it is too large."""
    state = next((item for item in found.cylinders if item.cylinder == at), None)
    if state is None:  # no entry of it yet: the log speaks of others
        alone = await about.ask(tasks.at_the_hone, *opened, _as_text(_log(about)), RISK, at)
        state = alone.cylinders[0]
    assert standing.answer is not None
    row = next(item for item in told(standing.answer).rows if item.cylinder == at)
    again = found.repick if found.repick is None or found.repick.plan else found.other_parts
    return {
        "state": state,
        "row": row,
        "done": sum(1 for check in state.checks if check.number),
        "again": None if again is None else told(again),
    }


async def _stages(about: About, cylinder: str) -> list[Stage]:
    answer = await about.report("plan")
    assert isinstance(answer, StagesAnswer)
    return stages_of(answer, cylinder, about.room.drafts.ticks(about.key))


@machine.post("/stage")
async def tick(
    about: About,
    stage: Annotated[str, Form(pattern=r"^[0-9a-f]{16}$")],
    cylinder: Annotated[str, Form(max_length=200)] = "",
    done: Annotated[str, Form(max_length=3)] = "",
) -> RedirectResponse:
    """Tick a stage off, or take that back; it is kept with the job."""
    await run_in_threadpool(about.room.drafts.tick, about.key, stage, done=done == "yes")
    return _to(about, cylinder)


@machine.post("/again")
async def plan_again(about: About) -> RedirectResponse:
    """Begin a job with the bores as they are now: the one that was honed stays as it is."""
    job, catalogue, plan = await _opened(about)
    now = passes.hone((job, catalogue, plan), _log(about)).as_honed()
    data = now_measured(about.content, now)
    drafts = about.room.drafts
    text = await run_in_threadpool(text_like, about.draft.text, data)
    draft = await run_in_threadpool(drafts.new, text)
    if (ordered := drafts.ordered(about.key)) is not None:
        await run_in_threadpool(drafts.order, draft.key, ordered)
    return RedirectResponse(f"/jobs/{draft.key}", 303)


def _to(about: About, cylinder: str) -> RedirectResponse:
    return RedirectResponse(f"/jobs/{about.key}/machine?cylinder={quote(cylinder)}", 303)


def _log(about: About) -> LogText:
    return log_text(about.room.drafts.log(about.key))


def _as_text(log: LogText) -> str:
    """Return the text of a log, for any bytes."""
    return log.content.decode("utf-8", "surrogateescape")


@router.get("/log.svg")
async def plot(about: About, cylinder: str = "", narrow: str = "") -> Response:
    """The passes of one bore or of all, and what they predict, as a drawing."""
    held = _as_text(_log(about))
    found = await about.ask(tasks.at_the_hone, *await _opened(about), held)
    drawn = tuple(item for item in found.cylinders if cylinder in ("", item.cylinder))
    if not drawn:
        raise InputError("there is nothing to draw yet", found="hone")
    found = found.model_copy(update={"cylinders": drawn})
    return as_picture(await about.ask(tasks.log_drawn, found, _PHONE if narrow else 0.0))


@router.post("")
async def enter(about: About) -> Response:
    """Add a pass to the log: it is on the disk before the answer comes. A refused one is shown
    again as it was typed."""
    opened = await _opened(about)
    sent = await about.request.form(max_fields=1300, max_files=0)
    form = {name: " ".join(str(value).split()) for name, value in sent.items()}  # one line each
    taken = tuple(str(name) for name in sent.getlist("taken"))
    refused = await run_in_threadpool(
        passes.enter, about.room.drafts, about.key, opened, form, taken
    )
    cylinder = form.get("cylinder", "")
    return _to(about, cylinder) if refused is None else await _shown(about, cylinder, refused)


@router.post("/take")
async def take(about: About, accept: Annotated[str, Form(max_length=200)]) -> RedirectResponse:
    """Take a doubted figure of a pass that is in the log."""
    opened = await _opened(about)
    await run_in_threadpool(passes.take, about.room.drafts, about.key, opened, (accept,))
    return _to(about, "")


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
        entries=passes.told(parse_log(held, job), job),
    )
