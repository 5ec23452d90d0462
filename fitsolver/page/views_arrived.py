"""Parts have come: the order that is kept with a job, and whether it still serves."""

from __future__ import annotations

from fastapi import APIRouter, UploadFile
from fastapi.responses import RedirectResponse
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.page import tasks
from fitsolver.page.room import About
from fitsolver.page.uploads import contents
from fitsolver.reporting.schema import to_json
from fitsolver.usecases.parts_arrived import check_same, ordered_plan

router = APIRouter(prefix="/jobs/{key}", include_in_schema=False)


@router.get("/arrived")
async def arrived(about: About) -> RedirectResponse:
    """Where this stood before the steps."""
    return RedirectResponse(f"/jobs/{about.key}/order", 303)


@router.post("/ordered")
async def keep(about: About) -> RedirectResponse:
    """Keep the plan as it is now as the one that parts are ordered by."""
    answer = await about.pick()
    ordered_plan(answer)
    await run_in_threadpool(about.room.drafts.order, about.key, to_json(answer))
    return RedirectResponse(f"/jobs/{about.key}/order", 303)


@router.post("/ordered/upload")
async def upload(about: About, files: list[UploadFile]) -> RedirectResponse:
    """Keep the document of an earlier pick as the one that parts were ordered by."""
    [(name, content), *more] = await contents(files)
    if more:
        raise InputError("send one document", found=f"{len(more) + 1} files")
    answer = await about.room.work(about.request, tasks.answer_sent, name[:60], content)
    job, _ = await about.understood()
    check_same(job, ordered_plan(answer, name[:60]))
    await run_in_threadpool(about.room.drafts.order, about.key, to_json(answer))
    return RedirectResponse(f"/jobs/{about.key}/order", 303)
