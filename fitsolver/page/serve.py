"""The page served over HTTP until it is interrupted."""

from __future__ import annotations

import socket
from collections.abc import Callable

import uvicorn
from fastapi import FastAPI

from fitsolver.base.errors import InputError
from fitsolver.page.arriving import Arriving
from fitsolver.page.settings import Settings


def serve(app: FastAPI, settings: Settings, tell: Callable[[str], None]) -> None:
    """Serve an application of the page; `tell` is given the address once it listens.

    Raises InputError for settings that will not do, and for an address that cannot be had.
    """
    listening = _listen(settings)
    port = listening.getsockname()[1]
    name = settings.names[0] if settings.names else settings.host
    name = f"[{name}]" if ":" in name else name
    tell(f"fitsolver page at http://{name}:{port}/  (Ctrl-C ends it)")
    if settings.token is not None:
        tell("Open it the first time with ?token= and the token behind the address.")
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
        raise InputError(
            f"this address cannot be listened on ({error.strerror or error})",
            field="host and port",
            found=f"{settings.host}:{settings.port}",
            allowed="an address of this machine and a free port (0 = any)",
        ) from error
    return found
