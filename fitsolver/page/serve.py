"""The page served over HTTP until it is interrupted."""

from __future__ import annotations

import gc
import socket
from collections.abc import Callable

import uvicorn
from fastapi import FastAPI

from fitsolver.base.errors import InputError
from fitsolver.page.arriving import Arriving
from fitsolver.page.settings import Settings
from fitsolver.page.starting import runs_already


def serve(
    app: FastAPI,
    settings: Settings,
    tell: Callable[[str], None],
    listens: Callable[[str], None] = lambda _: None,
) -> None:
    """Serve an application of the page; `tell` is given the address once it listens, and then
    `listens` the address alone.

    Raises InputError for invalid settings, and for an address that cannot be bound.
    """
    listening = _listen(settings)
    port = listening.getsockname()[1]
    name = settings.names[0] if settings.names else settings.host
    name = f"[{name}]" if ":" in name else name
    address = f"http://{name}:{port}/"
    tell(f"fitsolver page at {address}  (Ctrl-C ends it)")
    if settings.token is not None:
        tell("Open it the first time with ?token= and the token behind the address.")
    listens(address)
    server = uvicorn.Server(
        uvicorn.Config(
            app,
            log_level="warning",
            access_log=False,
            server_header=False,
            timeout_keep_alive=30,
            limit_concurrency=1000,
            http=Arriving,
            ws="none",
        )
    )
    gc.freeze()  # what is loaded now stays: no collection looks through it again
    try:
        server.run([listening])
    except KeyboardInterrupt:
        tell("ended; what was kept is on the disk")
    finally:
        listening.close()


def _listen(settings: Settings) -> socket.socket:
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    found = socket.socket(family, socket.SOCK_STREAM)
    found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        found.bind((settings.host, settings.port))
        found.listen(1024)  # who is told the address may call at once
    except OSError as error:
        found.close()
        if runs_already(settings):
            raise InputError(
                "a fitsolver page runs here already: open it in the browser, or end it first",
                field="host and port",
                found=f"{settings.host}:{settings.port}",
                allowed="--port with another one (0 = a free one), --data with another folder",
            ) from error
        raise InputError(
            f"this address cannot be listened on ({error.strerror or error})",
            field="host and port",
            found=f"{settings.host}:{settings.port}",
            allowed="an address of this machine and a free port (0 = any)",
        ) from error
    return found
