"""The JSON API described for people: every body with an example that can be sent from there.

The pages of FastAPI load from other hosts; here the same library is served from this machine.
"""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path
from typing import Final, cast

from fastapi import APIRouter, FastAPI, Request
from fastapi.responses import HTMLResponse, JSONResponse

from fitsolver.page.api_examples import Body, Description, with_examples
from fitsolver.page.asked import Asked, understood
from fitsolver.page.room import In
from fitsolver.records.plan import Answer

router = APIRouter(include_in_schema=False)
DESCRIPTION: Final = "/api/openapi.json"


def assets() -> Path:
    """Return the folder of the library that shows a description (Swagger UI)."""
    spec = find_spec("fastapi_offline")
    assert spec is not None and spec.origin is not None
    return Path(spec.origin).parent / "static"


@router.get(DESCRIPTION)
async def description(request: Request, room: In) -> JSONResponse:
    """The description as OpenAPI has it, with an example for every body."""
    app: FastAPI = request.app
    described = cast(Description, app.openapi())

    async def ordered(body: Body) -> Answer:
        return await room.pick(request, *understood(Asked.model_validate(body), room))

    return JSONResponse(await with_examples(described, ordered))


@router.get("/docs")
async def docs(request: Request, room: In) -> HTMLResponse:
    """The description to read and to try."""
    return room.show(request, "docs.html", description=DESCRIPTION)
