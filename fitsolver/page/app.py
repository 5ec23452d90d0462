"""The page as one ASGI application."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException

from fitsolver.base.errors import FitsolverError, InputError
from fitsolver.base.version import __version__
from fitsolver.page import (
    api,
    tasks,
    views_arrived,
    views_book,
    views_catalogues,
    views_counter,
    views_docs,
    views_family,
    views_first,
    views_hone,
    views_intake,
    views_job,
    views_paper,
    views_shell,
    views_start,
    views_steps,
)
from fitsolver.page.drafts import ChangedError, NoDraftError
from fitsolver.page.misunderstood import wrong_fields
from fitsolver.page.pool import BusyError
from fitsolver.page.protect import Protect
from fitsolver.page.room import HERE, open_room, room_of
from fitsolver.page.said import said
from fitsolver.page.settings import Settings
from fitsolver.page.uploads import without_folder

_RETRY: dict[str, str] = {"retry-after": "2"}


def create_app(settings: Settings) -> FastAPI:
    """Return the page; raises InputError for settings or catalogues that will not do."""
    settings.check()
    room = open_room(settings, tasks.answer, tasks.load)

    @asynccontextmanager
    async def lifespan(_: FastAPI) -> AsyncIterator[None]:
        yield
        await asyncio.to_thread(room.solving.close)

    app = FastAPI(
        title="fitsolver",
        version=__version__,
        description="Which piston, rings and gaskets, finished to which bore. Lengths in records "
        "are ticks of 10 nm; all sizes, removal and stock are on diameter.",
        openapi_url=None,  # /api/openapi.json has examples, see views_docs
        docs_url=None,  # their pages load from other hosts: /api is ours
        redoc_url=None,
        lifespan=lifespan,
    )
    app.state.room = room
    app.mount("/static", StaticFiles(directory=HERE / "static"), name="static")
    for part in (
        api.router,
        views_docs.router,
        views_shell.router,
        views_first.router,
        views_start.router,
        views_catalogues.router,
        views_family.router,
        views_intake.router,
        views_job.router,
        views_steps.router,
        views_paper.router,
        views_arrived.router,
        views_hone.router,
        views_hone.machine,
        views_counter.router,
        views_book.router,
    ):
        app.include_router(part)
    app.add_exception_handler(FitsolverError, _refused)
    app.add_exception_handler(HTTPException, _no_page)
    app.add_exception_handler(RequestValidationError, _misunderstood)
    app.add_middleware(Protect, settings=settings)
    return app


async def _refused(request: Request, error: Exception) -> Response:
    """Answer a refusal of ours in the form that was asked for, without a path of this machine."""
    code = 500
    if isinstance(error, InputError):
        error = without_folder(error)
        codes = {NoDraftError: 404, ChangedError: 409, BusyError: 429}
        code = codes.get(type(error), 400)
    headers = _RETRY if code == 429 else {}
    if _is_api(request):
        return JSONResponse(_parts(error), code, headers)
    shown = room_of(request).show(
        request,
        "refused.html",
        code,
        message=said(error) if isinstance(error, InputError) else str(error),
    )
    shown.headers.update(headers)
    return shown


def _parts(error: Exception) -> dict[str, str]:
    if not isinstance(error, InputError):
        return {"message": str(error)}
    return {
        "message": error.message,
        "file": error.file,
        "row": "" if error.row is None else str(error.row),
        "field": error.field,
        "found": "" if error.found is None else str(error.found),
        "allowed": error.allowed,
    }


async def _no_page(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    if _is_api(request):
        return JSONResponse({"message": error.detail}, error.status_code, error.headers)
    message = "there is no such page" if error.status_code == 404 else error.detail
    found = room_of(request).show(request, "refused.html", error.status_code, message=message)
    found.headers.update(error.headers or {})
    return found


async def _misunderstood(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    wrong = wrong_fields(error.errors(), error.body)
    first = wrong[0]
    message = ": ".join(filter(None, (first.field, first.message)))
    if _is_api(request):
        told = {
            "message": message,
            "field": first.field,
            "details": [item.model_dump() for item in wrong],
        }
        return JSONResponse(told, 422)
    return room_of(request).show(request, "refused.html", 422, message=message)


def _is_api(request: Request) -> bool:
    return request.url.path.startswith("/api/") or request.url.path.endswith("/live")
