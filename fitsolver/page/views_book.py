"""The book: what was put into it, the history of one cylinder, and putting a job in."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Form, Query, Request
from fastapi.responses import RedirectResponse
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.honing.log import read_log
from fitsolver.page.answers import with_book
from fitsolver.page.bench import job_and_catalogue
from fitsolver.page.room import Room, room_of
from fitsolver.page.sections import of_blocks
from fitsolver.records.plan import Answer
from fitsolver.reporting.layout import Page
from fitsolver.verbs.report import report

router = APIRouter(include_in_schema=False)
In = Annotated[Room, Depends(room_of)]


@router.get("/book")
async def search(
    request: Request, room: In, words: Annotated[str, Query(max_length=200)] = ""
) -> Any:
    """What the book holds, newest first."""
    if room.settings.book is None:
        return room.show(request, "book.html", words=words, found=None)
    found = await with_book(room, lambda book: book.search(words))
    return room.show(request, "book.html", words=words, found=found)


@router.get("/book/cylinder")
async def history(
    request: Request, room: In, marking: Annotated[str, Query(max_length=200)]
) -> Any:
    """Everything the book knows of one cylinder."""
    found = await with_book(room, lambda book: book.history(marking))
    page = report(found)
    assert isinstance(page, Page)
    parts = of_blocks(list(page.blocks()))
    return room.show(request, "report.html", title=marking, sections=parts, job=None, verb="book")


@router.post("/jobs/{key}/book")
async def keep(
    request: Request,
    room: In,
    key: str,
    what: Annotated[str, Form(max_length=20)],
    date: Annotated[dt.date | None, Form()] = None,
) -> Any:
    """Put a job, its passes or its final check into the book."""
    job, catalogue = await run_in_threadpool(job_and_catalogue, room, key)
    day = date or dt.date.today()
    if what == "job":
        answer = await room.answer(request, "pick", job, catalogue)
        assert isinstance(answer, Answer)
        plan = answer if answer.plan is not None else None
        await with_book(room, lambda book: book.add_job(job, plan, date=day))
    elif what == "passes":
        log = read_log(room.drafts.log(key), job)
        passes = [entry.done for entry in log.entries]
        named = log.accepted
        await with_book(room, lambda book: book.add_passes(job, passes, date=day, accepted=named))
    elif what == "final":
        verdict: Any = await room.answer(request, "final", job, catalogue)
        await with_book(room, lambda book: book.add_final(job, verdict, date=day))
    else:
        raise InputError("there is no such entry", found=what, allowed="job, passes or final")
    return RedirectResponse("/book", 303)
