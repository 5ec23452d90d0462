"""What every view works with: the jobs, the catalogues, the solving, the templates."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from fastapi import Request
from fastapi.responses import HTMLResponse
from jinja2 import Environment, FileSystemLoader, StrictUndefined

from fitsolver import __version__
from fitsolver.page import tasks
from fitsolver.page.drafts import Drafts
from fitsolver.page.pool import Once, Solving
from fitsolver.page.settings import Settings
from fitsolver.page.shelf import Shelf
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job

VISITOR: Final = "fitsolver_visitor"
HERE: Final = Path(__file__).parent
#: Of the seconds allowed, those that are left to write the answer out.
_WRITING: Final = 0.1


@dataclass
class Room:
    """One running page."""

    settings: Settings
    drafts: Drafts
    shelf: Shelf
    solving: Solving
    templates: Environment

    async def answer(self, request: Request, verb: str, job: Job, catalogue: Catalogue) -> Any:
        """Return what a verb answers, worked out in the queue; raises what it raises."""
        return await self.ask(request, tasks.answer, verb, job, catalogue, self.most)

    @property
    def most(self) -> float:
        """Return the seconds that a search may take."""
        return self.settings.seconds * (1 - _WRITING)

    async def ask(self, request: Request, function: Callable[..., Any], *arguments: Any) -> Any:
        """Return `function(*arguments)`, worked out in the queue; raises what it raises.

        The records among the arguments say all that the answer depends on: they are the question.
        """
        question = (function, *map(_named, arguments))
        return await self.solving.ask(visitor(request), question, function, *arguments)

    async def work(self, request: Request, function: Callable[..., Any], *arguments: Any) -> Any:
        """Return `function(*arguments)`, worked out in the queue and not remembered."""
        return await self.solving.ask(visitor(request), Once(), function, *arguments)

    def show(self, request: Request, template: str, status: int = 200, **shown: Any) -> Any:
        """Return a page made from a template; a new visitor is given a name of no meaning."""
        page = self.templates.get_template(template).render(
            version=__version__, path=request.url.path, **shown
        )
        response = HTMLResponse(page, status)
        if VISITOR not in request.cookies:
            response.set_cookie(
                VISITOR, secrets.token_hex(8), httponly=True, samesite="strict", max_age=86_400
            )
        return response


def _named(argument: Any) -> Hashable:
    """Return what a question is known by: of a catalogue, which is large, its fingerprint."""
    if isinstance(argument, Catalogue):
        return argument.name, argument.fingerprint
    return argument  # type: ignore[no-any-return]


def open_room(settings: Settings) -> Room:
    """Return the room of a page that is being started. Raises InputError for bad catalogues."""
    settings.data.mkdir(parents=True, exist_ok=True)
    return Room(
        settings,
        Drafts(settings.data / "jobs"),
        Shelf(settings.catalogues, settings.data / "catalogues"),
        Solving(settings.workers, settings.seconds, settings.waiting, settings.each),
        Environment(
            loader=FileSystemLoader(HERE / "templates"),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        ),
    )


def room_of(request: Request) -> Room:
    """Return the room that a request came to."""
    room: Room = request.app.state.room
    return room


def visitor(request: Request) -> str:
    """Return who asks, for a fair queue: the address, and the name that the cookie holds."""
    address = request.client.host if request.client else ""
    return f"{address} {request.cookies.get(VISITOR, '')[:64]}"
