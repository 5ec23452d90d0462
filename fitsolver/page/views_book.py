"""The book: what was put into it, the history of one cylinder, and putting a job in."""

from __future__ import annotations

import datetime as dt
from typing import Annotated

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse

from fitsolver.base.errors import InputError
from fitsolver.honing.log import read_log
from fitsolver.page.finished import to_check
from fitsolver.page.room import About, In, Inquiry
from fitsolver.page.sections import under_headings
from fitsolver.usecases.final import final_verdict
from fitsolver.verbs.report import report

router = APIRouter(include_in_schema=False)


@router.get("/book")
async def search(
    request: Request, room: In, words: Annotated[str, Query(max_length=200)] = ""
) -> HTMLResponse:
    """What the book holds, newest first."""
    if room.settings.book is None:
        return room.show(request, "book.html", words=words, found=None)
    found = await room.with_book(lambda book: book.search(words))
    return room.show(request, "book.html", words=words, found=found)


@router.get("/book/cylinder")
async def history(
    request: Request, room: In, marking: Annotated[str, Query(max_length=200)]
) -> HTMLResponse:
    """Everything the book knows of one cylinder."""
    found = await room.with_book(lambda book: book.history(marking))
    parts = under_headings(report(found))
    return room.show(request, "report.html", title=marking, sections=parts, job=None, verb="book")


@router.post("/jobs/{key}/book")
async def keep(
    about: About,
    what: Annotated[str, Form(max_length=20)],
    date: Annotated[dt.date | None, Form()] = None,
) -> RedirectResponse:
    """Put a job, its passes or its final check into the book."""
    room = about.room
    job, _ = await about.understood()
    day = date or dt.date.today()
    if what == "job":
        answer = await about.pick()
        plan = answer if answer.plan is not None else None
        await room.with_book(lambda book: book.add_job(job, plan, date=day))
    elif what == "passes":
        log = read_log(room.drafts.log(about.key), job)
        passes = [entry.done for entry in log.entries]
        named = log.accepted
        await room.with_book(lambda book: book.add_passes(job, passes, date=day, accepted=named))
    elif what == "final":
        await _add_final(about, day)
    else:
        raise InputError("there is no such entry", found=what, allowed="job, passes or final")
    return RedirectResponse("/book", 303)


async def _add_final(about: Inquiry, day: dt.date) -> None:
    """Add the final check as the page shows it: the last passes, the parts that came."""
    answer = await about.pick()
    if answer.plan is None:
        raise InputError("nothing fits, so there is nothing to check")
    ready = await to_check(about, answer.plan)
    if ready.waiting:
        raise InputError("the check is not whole yet", allowed="; ".join(ready.waiting))
    _, catalogue = await about.understood()
    verdict = await about.ask(final_verdict, ready.job, catalogue)
    await about.room.with_book(lambda book: book.add_final(ready.job, verdict, date=day))
