"""What a browser keeps of the page, so that typing goes on where it cannot be reached."""

from __future__ import annotations

import mimetypes

from fastapi import APIRouter, Request
from fastapi.responses import FileResponse, HTMLResponse

from fitsolver.page.room import HERE, In

router = APIRouter(include_in_schema=False)
mimetypes.add_type("application/manifest+json", ".webmanifest")  # not every system knows it


@router.get("/sw.js")
async def worker() -> FileResponse:
    """The program between browser and page; it serves whatever lies at or below its address."""
    return FileResponse(HERE / "static" / "sw.js", media_type="text/javascript")


@router.get("/offline")
async def offline(request: Request, room: In) -> HTMLResponse:
    """What is shown where nothing of a page was kept."""
    return room.show(request, "offline.html")
