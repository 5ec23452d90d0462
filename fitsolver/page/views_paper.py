"""What goes on paper: the sheet to pin at the machine, and the drawings."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any, Final, NamedTuple

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.page import tasks
from fitsolver.page.answers import answer_of
from fitsolver.page.bench import job_and_catalogue
from fitsolver.page.room import Room, room_of
from fitsolver.paper import Paper

router = APIRouter(prefix="/jobs/{key}", include_in_schema=False)
In = Annotated[Room, Depends(room_of)]

#: A sheet and a drawing have their looks in themselves, and nothing that runs.
_LOOKS_ONLY: Final = {
    "content-security-policy": "default-src 'none'; style-src 'unsafe-inline'; img-src data:; "
    "frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
}


class Drawn(NamedTuple):
    """A drawing of a report: its name, and what it shows where it cannot be seen."""

    name: str
    shows: str


#: The drawing of a report, by the verb.
DRAWN: Final = {
    "bore": Drawn("profile", "Drawing: every axis of every bore against the depth"),
    "pick": Drawn("fits", "Drawing: every fit as a bar against its window"),
    "plan": Drawn("stages", "Drawing: what every stage removes"),
    "ladder": Drawn("sizes", "Drawing: the larger sizes that are left"),
}
#: The verb whose answer is drawn; the profile shows the plan's finish size too.
_OF: Final = {"profile": "pick", "fits": "pick", "stages": "plan", "sizes": "ladder"}


def has_drawing(name: str, answer: Any) -> bool:
    """Tell whether an answer has what a drawing of that name shows."""
    if name == "profile":
        return bool(answer.forms)
    return answer.plan is not None if name == "fits" else bool(answer.cylinders)


@router.get("/sheet")
async def sheet(
    request: Request, room: In, key: str, paper: Annotated[Paper, Query()] = "a4"
) -> HTMLResponse:
    """The sheet of a job, to print."""
    job, catalogue = await run_in_threadpool(job_and_catalogue, room, key)
    html = await room.ask(request, tasks.sheet, job, catalogue, paper, date.today(), room.most)
    return HTMLResponse(html, headers=_LOOKS_ONLY)


@router.get("/plots/{name}.svg")
async def plot(request: Request, room: In, key: str, name: str) -> Response:
    """A drawing of a job."""
    if name not in _OF:
        raise InputError("there is no such drawing", found=name[:40], allowed=", ".join(_OF))
    job, catalogue = await run_in_threadpool(job_and_catalogue, room, key)
    answer = await answer_of(request, room, key, _OF[name])
    if not has_drawing(name, answer):
        raise InputError("there is nothing to draw yet", found=name)
    return as_picture(await room.ask(request, tasks.drawing, name, job, catalogue, answer))


def as_picture(svg: bytes) -> Response:
    """Return a drawing as a picture that can do nothing."""
    return Response(svg, media_type="image/svg+xml", headers=_LOOKS_ONLY)
