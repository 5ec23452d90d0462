"""What goes on paper: the sheet to pin at the machine, and the drawings."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from fastapi import APIRouter, Query
from fastapi.responses import HTMLResponse, Response

from fitsolver.base.errors import InputError
from fitsolver.page import tasks
from fitsolver.page.reports import DRAWN_OF, LOOKS_ONLY, as_picture, has_drawing
from fitsolver.page.room import About
from fitsolver.paper import Paper

router = APIRouter(prefix="/jobs/{key}", include_in_schema=False)


@router.get("/sheet")
async def sheet(about: About, paper: Annotated[Paper, Query()] = "a4") -> HTMLResponse:
    """The sheet of a job, to print."""
    job, catalogue = await about.understood()
    html = await about.ask(tasks.sheet, job, catalogue, paper, date.today(), about.room.most)
    return HTMLResponse(html, headers=LOOKS_ONLY)


@router.get("/plots/{name}.svg")
async def plot(about: About, name: str) -> Response:
    """A drawing of a job."""
    if name not in DRAWN_OF:
        raise InputError("there is no such drawing", found=name[:40], allowed=", ".join(DRAWN_OF))
    job, catalogue = await about.understood()
    answer = await about.report(DRAWN_OF[name])
    if not has_drawing(name, answer):
        raise InputError("there is nothing to draw yet", found=name)
    return as_picture(await about.ask(tasks.drawing, name, job, catalogue, answer))
