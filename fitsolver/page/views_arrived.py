"""Parts have come: the order that is kept with a job, and whether it still serves."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, UploadFile
from fastapi.responses import RedirectResponse
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.page import tasks
from fitsolver.page.bench import job_and_catalogue
from fitsolver.page.room import Room, room_of
from fitsolver.page.sections import sections
from fitsolver.page.uploads import contents
from fitsolver.page.views_job import named
from fitsolver.reporting.schema import to_json
from fitsolver.usecases.parts_arrived import check_same, ordered_plan

router = APIRouter(prefix="/jobs/{key}", include_in_schema=False)
In = Annotated[Room, Depends(room_of)]


@router.get("/arrived")
async def arrived(request: Request, room: In, key: str) -> Any:
    """Whether the parts that were ordered serve, now that the job says how they measure."""
    shown = {**named(room.drafts.read(key)), "sections": [], "ordered": False}
    document = room.drafts.ordered(key)
    if document is not None:
        job, catalogue = await run_in_threadpool(job_and_catalogue, room, key)
        found = await room.ask(
            request, tasks.arrived, job, catalogue, tasks.answer_sent("order", document.encode())
        )
        shown |= {"sections": sections(found), "ordered": True}
    return room.show(request, "arrived.html", **shown)


@router.post("/ordered")
async def keep(request: Request, room: In, key: str) -> Any:
    """Keep the plan as it is now as the one that parts are ordered by."""
    job, catalogue = await run_in_threadpool(job_and_catalogue, room, key)
    answer = await room.answer(request, "pick", job, catalogue)
    ordered_plan(answer)
    await run_in_threadpool(room.drafts.order, key, to_json(answer))
    return RedirectResponse(f"/jobs/{key}/arrived", 303)


@router.post("/ordered/upload")
async def upload(request: Request, room: In, key: str, files: list[UploadFile]) -> Any:
    """Keep the document of an earlier pick as the one that parts were ordered by."""
    [(name, content), *more] = await contents(files)
    if more:
        raise InputError("send one document", found=f"{len(more) + 1} files")
    answer = await room.work(request, tasks.answer_sent, name[:60], content)
    job, _ = await run_in_threadpool(job_and_catalogue, room, key)
    check_same(job, ordered_plan(answer, name[:60]))
    await run_in_threadpool(room.drafts.order, key, to_json(answer))
    return RedirectResponse(f"/jobs/{key}/arrived", 303)
