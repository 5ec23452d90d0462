"""The first screen: try a demonstration, take in a list, begin a job, ask at the counter."""

from __future__ import annotations

from typing import Final

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse
from starlette.concurrency import run_in_threadpool

from fitsolver.base.demos import demo_list
from fitsolver.page.beginnings import engines, examples
from fitsolver.page.calling import offered
from fitsolver.page.listing import listed
from fitsolver.page.lists import SUFFIXES
from fitsolver.page.room import In

router = APIRouter(include_in_schema=False)
#: Jobs that are shown here; the others are one tap away.
_JOBS: Final = 6
#: The example that each demonstration begins with, and what it is of (invented).
_DEMOS: Final = (
    ("pump/job", "Portable pump", "two cylinders, four readings off"),
    ("launch/job", "Launch engine", "four cylinders, in inches"),
    ("brushsaw/job", "Brush saw", "one plated cylinder"),
)


@router.get("/")
async def first(request: Request, room: In) -> HTMLResponse:
    """What one can do here, each one tap away; the last jobs."""
    there = {f"{key}/{stem}" for key, stem in examples(room)}
    found = await run_in_threadpool(listed, room.drafts, room.benches, most=_JOBS)
    return room.show(
        request,
        "first.html",
        jobs=found.jobs,
        more=found.total > len(found.jobs),
        demos=[demo for demo in _DEMOS if demo[0] in there],
        demo_list=demo_list() is not None,
        engines=engines(room),
        families=list(offered(room)),
        suffixes=",".join(SUFFIXES),
    )
