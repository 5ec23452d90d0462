"""The resources of every view: the jobs, the catalogues, the solver processes, the templates.

`Room` is one running page; `Inquiry` is one request about one job, read once.
"""

from __future__ import annotations

import asyncio
import secrets
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final, ParamSpec, TypedDict, TypeVar

from fastapi import Depends, Request
from fastapi.responses import HTMLResponse
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import FitsolverError, InputError
from fitsolver.base.version import __version__
from fitsolver.book.wear import told_apart, with_earlier
from fitsolver.page import held
from fitsolver.page.bench import Benches, content_of, understood
from fitsolver.page.calls import Calls
from fitsolver.page.content import Content, shown
from fitsolver.page.doubted import place_said
from fitsolver.page.drafts import Draft, Drafts
from fitsolver.page.lists import Lists
from fitsolver.page.looks import calm, too_broad
from fitsolver.page.pool import Once, Solving
from fitsolver.page.reports import REPORTS
from fitsolver.page.said import place_of, said, words_of_fit
from fitsolver.page.settings import Settings
from fitsolver.page.shelf import Shelf
from fitsolver.page.shelf_read import catalogue_of
from fitsolver.page.standing import STEPS, Step
from fitsolver.reading.book_folder import files_of_book, is_book
from fitsolver.records.base import Record
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.ladder import LadderAnswer
from fitsolver.records.plan import Answer

if TYPE_CHECKING:
    from fitsolver.book.book import Book

VISITOR: Final = "fitsolver_visitor"
HERE: Final = Path(__file__).parent
#: Seconds of the time limit that are reserved for writing the answer.
_WRITING: Final = 0.1

P = ParamSpec("P")
T = TypeVar("T")
#: A worker's answer to a verb, a job, a catalogue and a time limit in seconds.
Answering = Callable[[str, Job, Catalogue, float], Record]


@dataclass
class Room:
    """One running page."""

    settings: Settings
    drafts: Drafts
    shelf: Shelf
    solving: Solving
    templates: Environment
    answering: Answering
    calls: Calls
    lists: Lists
    benches: Benches
    #: Plans being solved ahead of their request.
    begun: set[asyncio.Task[None]] = field(default_factory=set)

    async def answer(self, request: Request, verb: str, job: Job, catalogue: Catalogue) -> Record:
        """Return what a verb answers, worked out in the queue; raises what it raises."""
        return await self.ask(request, self.answering, verb, job, catalogue, self.most)

    async def pick(self, request: Request, job: Job, catalogue: Catalogue) -> Answer:
        """Return the best plan of a job, worked out in the queue; raises what it raises."""
        found = await self.answer(request, "pick", job, catalogue)
        assert isinstance(found, Answer)
        return found

    @property
    def most(self) -> float:
        """Return the seconds that a search may take."""
        return self.settings.seconds * (1 - _WRITING)

    async def ask(
        self, request: Request, function: Callable[P, T], *arguments: P.args, **named: P.kwargs
    ) -> T:
        """Return `function(*arguments)`, worked out in the queue; raises what it raises.

        The records among the arguments say all that the answer depends on: they are the question.
        """
        question = (function, *map(held.named, arguments))
        return await self.solving.ask(visitor(request), question, function, *arguments, **named)

    async def work(
        self, request: Request, function: Callable[P, T], *arguments: P.args, **named: P.kwargs
    ) -> T:
        """Return `function(*arguments)`, worked out in the queue and not remembered."""
        return await self.solving.ask(visitor(request), Once(), function, *arguments, **named)

    async def take_in(self, request: Request, sent: Sequence[tuple[str, bytes]]) -> str:
        """Keep a catalogue from the files of its folder, read by a worker; return its key.

        Raises InputError, and keeps nothing, for files that are no catalogue.
        """
        if is_book(sent):
            self.shelf.check_room()
            files = await self.work(request, files_of_book, *sent[0])
        else:
            files = self.shelf.named(sent)
        catalogue = await self.work(request, catalogue_of, files)
        return self.shelf.keep(files, catalogue)

    async def with_book(self, use: Callable[[Book], T]) -> T:
        """Do something with the book, away from those who wait for other answers."""

        def opened() -> T:
            from fitsolver import book

            if self.settings.book is None:
                raise InputError(
                    "the page was started without a book", allowed="--book FILE or URL"
                )
            with book.open(self.settings.book) as found:
                return use(found)

        return await run_in_threadpool(opened)

    def show(
        self, request: Request, template: str, status: int = 200, **shown: object
    ) -> HTMLResponse:
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


def open_room(settings: Settings, answering: Answering, load: Callable[[], None]) -> Room:
    """Return the room of a page that is being started. Raises InputError for bad catalogues."""
    settings.data.mkdir(parents=True, exist_ok=True)
    templates = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    templates.filters |= {"said": said, "fitwords": words_of_fit, "place": place_of}
    templates.filters |= {"doubtplace": place_said, "calm": calm}
    templates.tests["too_broad"] = too_broad
    shelf = Shelf(
        settings.catalogues, settings.data / "catalogues", may_change=settings.change_catalogues
    )
    return Room(
        settings,
        Drafts(settings.data / "jobs"),
        shelf,
        Solving(settings.workers, settings.seconds, settings.waiting, settings.each, load),
        templates,
        answering,
        Calls(settings.data / "calls"),
        Lists(settings.data / "lists"),
        Benches(shelf),
    )


def room_of(request: Request) -> Room:
    """Return the room that a request came to."""
    room: Room = request.app.state.room
    return room


In = Annotated[Room, Depends(room_of)]


def visitor(request: Request) -> str:
    """Return the visitor for the fair queue: the address, and the name in the cookie."""
    address = request.client.host if request.client else ""
    return f"{address} {request.cookies.get(VISITOR, '')[:64]}"


class JobShown(TypedDict):
    """The head of every page of a job."""

    job: str
    title: str
    version_of_job: str
    reports: dict[str, str]
    step: str
    steps: tuple[Step, ...]


class Inquiry:
    """One request about one job: its draft is read once, and understood once."""

    def __init__(self, request: Request, room: Room, key: str) -> None:
        self.request, self.room, self.key = request, room, key
        #: The job and its catalogue, if they were understood before.
        self.known: tuple[Job, Catalogue] | None = None

    @cached_property
    def draft(self) -> Draft:
        """The job as it is kept; raises NoDraftError for an unknown key."""
        return self.room.drafts.read(self.key)

    @cached_property
    def content(self) -> Content:
        """The content of the draft; raises InputError where it is no TOML."""
        return content_of(self.draft.text)

    def now(self, draft: Draft) -> None:
        """Go on with the job as it was changed."""
        self.__dict__.pop("content", None)
        self.draft, self.known = draft, None

    async def understood(self) -> tuple[Job, Catalogue]:
        """Return the job and its catalogue; raises InputError where the draft is no job yet."""
        if self.known is None:
            self.known = await run_in_threadpool(self._understood)
        return self.known

    def _understood(self) -> tuple[Job, Catalogue]:
        bench = self.room.benches.of(self.draft.text)
        if bench.job is not None and bench.catalogue is not None:
            return bench.job, bench.catalogue
        return understood(self.content, self.room.shelf)  # it refuses, with the reason

    async def pick(self) -> Answer:
        """Return the best plan of the job; raises InputError where the draft is no job yet."""
        return await self.room.pick(self.request, *await self.understood())

    def ahead(self) -> None:
        """Begin to solve the best plan ahead of its request."""
        task = asyncio.create_task(self._ahead())
        self.room.begun.add(task)
        task.add_done_callback(self.room.begun.discard)

    async def _ahead(self) -> None:
        with suppress(FitsolverError):  # told to who asks
            await self.pick()

    async def answer(self, verb: str) -> Record:
        """Return what a verb answers for the job; raises InputError where it is no job yet."""
        return await self.room.answer(self.request, verb, *await self.understood())

    async def report(self, verb: str) -> Record:
        """Return the same, what is left of a cylinder with what the book knows of it."""
        job, catalogue = await self.understood()
        marked = job.model_copy(update={"cylinders": tuple(c for c in job.cylinders if c.marking)})
        if verb != "ladder" or self.room.settings.book is None or not marked.cylinders:
            return await self.answer(verb)
        known, damaged = await self.room.with_book(
            lambda book: (book.earlier_of(marked), book.damaged)
        )
        answer = await self.room.answer(self.request, verb, with_earlier(job, known), catalogue)
        assert isinstance(answer, LadderAnswer)
        cautions = (*damaged, *told_apart(job, known), *answer.cautions)
        return answer.model_copy(update={"cautions": cautions})

    async def ask(self, function: Callable[P, T], *arguments: P.args, **named: P.kwargs) -> T:
        """Return `function(*arguments)`, worked out in the queue; see `Room.ask`."""
        return await self.room.ask(self.request, function, *arguments, **named)

    def shown(self) -> JobShown:
        """Return the head of a page, also for a draft that is no longer valid TOML."""
        version = self.draft.version
        try:
            name = shown(self.content.get("name"))
        except InputError:
            name = ""
        return {
            "job": self.key,
            "title": name or "job",
            "version_of_job": version,
            "reports": REPORTS,
            "step": "",
            "steps": tuple(Step(key, title, "", ()) for key, title in STEPS.items()),
        }

    def show(self, template: str, status: int = 200, **shown: object) -> HTMLResponse:
        """Return a page of the job."""
        return self.room.show(self.request, template, status, **shown)


async def inquiry(request: Request, room: In, key: str) -> Inquiry:
    """Return a request about a job; nothing is read yet."""
    return Inquiry(request, room, key)


About = Annotated[Inquiry, Depends(inquiry)]
