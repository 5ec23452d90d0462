"""What the verbs answer for a draft; what is left of a cylinder with what the book knows of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from fastapi import Request
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.book.book import Book
from fitsolver.book.wear import told_apart, with_earlier
from fitsolver.page.bench import job_and_catalogue
from fitsolver.page.room import Room

T = TypeVar("T")


async def answer_of(request: Request, room: Room, key: str, verb: str) -> Any:
    """Return what a verb answers for a draft; raises InputError where it is no job yet."""
    job, catalogue = await run_in_threadpool(job_and_catalogue, room, key)
    marked = job.model_copy(update={"cylinders": tuple(c for c in job.cylinders if c.marking)})
    if verb != "ladder" or room.settings.book is None or not marked.cylinders:
        return await room.answer(request, verb, job, catalogue)
    known, damaged = await with_book(room, lambda book: (book.earlier_of(marked), book.damaged))
    answer = await room.answer(request, verb, with_earlier(job, known), catalogue)
    cautions = (*damaged, *told_apart(job, known), *answer.cautions)
    return answer.model_copy(update={"cautions": cautions})


async def with_book(room: Room, use: Callable[[Book], T]) -> T:
    """Do something with the book, away from those who wait for other answers."""

    def opened() -> T:
        from fitsolver import book

        if room.settings.book is None:
            raise InputError("the page was started without a book", allowed="--book FILE or URL")
        with book.open(room.settings.book) as found:
            return use(found)

    return await run_in_threadpool(opened)
