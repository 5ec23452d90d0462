"""The counter: a family by a few letters and the size of each bore in, what to sell out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from copy import copy
from typing import Annotated, Final, NamedTuple
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.page.calling import Question, SeveralError, answered, kept_call, offered, sizes_typed
from fitsolver.page.calls import Call
from fitsolver.page.room import In, Room
from fitsolver.page.said import said
from fitsolver.records.counter import CounterAnswer
from fitsolver.records.figures import Figures, money
from fitsolver.reporting.counter_view import CounterSaid, counter_said

router = APIRouter(include_in_schema=False)
Word = Annotated[str, Form(max_length=200)]
Asked = Annotated[str, Query(max_length=200)]
#: Calls that are listed, and lines of sizes that are shown at once.
_CALLS: Final = 8
_LINES: Final = 7


class Listed(NamedTuple):
    """A kept call as it is listed."""

    key: str
    time: str
    family: str
    sizes: str
    advised: str


@router.get("/counter")
async def counter(
    request: Request,
    room: In,
    family: Asked = "",
    sizes: Asked = "",
    catalogue: Asked = "",
    kits_only: Asked = "",
    in_stock: Asked = "",
) -> HTMLResponse:
    """Ask which kit or parts a bore takes; with a size the answer, which is not kept."""
    asked = Question(family, sizes, catalogue, kits_only, in_stock)
    if not sizes:
        return await _shown(request, room, asked)
    try:
        _, answer = await answered(request, room, asked)
    except InputError as error:
        choices = error.families if isinstance(error, SeveralError) else ()
        return await _shown(request, room, asked, refusal=_in_words(error), choices=choices)
    return await _shown(request, room, asked, answer)


@router.post("/counter")
async def ask(
    request: Request,
    room: In,
    family: Word = "",
    sizes: Word = "",
    catalogue: Word = "",
    kits_only: Word = "",
    in_stock: Word = "",
) -> RedirectResponse:
    """Answer a call and keep it; what is refused is shown with what was typed."""
    asked = Question(family, sizes, catalogue, kits_only, in_stock)
    return await kept_call(request, room, asked)


@router.get("/counter/{key}")
async def call(request: Request, room: In, key: str) -> HTMLResponse:
    """A call that was kept: its answer as it was given."""
    found = room.calls.read(key)
    kits_only, in_stock = found.answer.kits_only, found.answer.in_stock
    asked = Question(found.family, "", found.catalogue, "yes" * kits_only, "yes" * in_stock)
    return await _shown(request, room, asked, found.answer, found)


async def _shown(
    request: Request,
    room: Room,
    asked: Question,
    answer: CounterAnswer | None = None,
    found: Call | None = None,
    refusal: str = "",
    choices: Sequence[str] = (),
) -> HTMLResponse:
    told: CounterSaid | None = None
    near: range = range(0)
    if answer is not None:
        told = counter_said(answer, Figures(answer.unit))
        near = _shown_lines(answer)
        asked = asked._replace(family=answer.family, sizes="")
    calls = await run_in_threadpool(room.calls.last, _CALLS)
    return room.show(
        request,
        "counter.html",
        asked=asked,
        answer=answer,
        told=told,
        near=near,
        refusal=refusal,
        choices=[
            (name, urlencode(asked._replace(family=name, sizes=sizes_typed(asked))._asdict()))
            for name in choices
        ],
        asked_at="" if found is None else _time(found.asked_at),
        sizes_asked="" if found is None else found.sizes,
        call="" if found is None else found.key,
        calls=[_listed(item) for item in calls],
        families=list(offered(room)),
        catalogues=room.shelf.all(),
        sheet=None if answer is None else _sheet(room, asked, answer),
    )


def _shown_lines(answer: CounterAnswer) -> range:
    """Return the places of the lines that are shown at once: those about the advised one."""
    count = len(answer.lines)
    if count <= _LINES:
        return range(count)
    advised = [at for at, line in enumerate(answer.lines) if line.advised]
    fitting = [at for at, line in enumerate(answer.lines) if line.plan is not None]
    first = max(0, min((advised or fitting or [0])[0] - 2, count - _LINES))
    return range(first, first + _LINES)


def _sheet(room: Room, asked: Question, answer: CounterAnswer) -> Mapping[str, str] | None:
    """Return where the figures of the family stand, for a link to them."""
    keys = [
        key
        for key, parts in room.shelf.all().items()
        if answer.family in room.shelf.families(key) and parts.name == answer.catalogue
    ]
    if asked.catalogue in keys:
        keys = [asked.catalogue]
    return {"key": keys[0], "family": answer.family} if len(keys) == 1 else None


def _in_words(error: InputError) -> str:
    """Return a refusal in the words of this screen, where a size is a bore."""
    told = copy(error)
    told.field = {"size": "", "family": "", "catalogue": ""}.get(error.field, error.field)
    return said(told)


def _listed(found: Call) -> Listed:
    answer, figures = found.answer, Figures(found.answer.unit)
    advised = "nothing fits"
    if answer.advised is not None:
        rows = counter_said(answer, figures).rows
        size = next((row[0] for row, line in zip(rows, answer.lines, strict=True) if line.advised),
                    "mixed sizes")  # fmt: skip
        advised = f"{size.removeprefix('> ')}, {money(answer.advised.price, answer.currency)}"
    return Listed(found.key, _time(found.asked_at), found.family, found.sizes, advised)


def _time(seconds: float) -> str:
    """Return a time as a clock shows it here; with its day where that is not today."""
    moment = dt.datetime.fromtimestamp(seconds).astimezone()
    today = dt.datetime.now().astimezone().date()
    return f"{moment:%H:%M}" if moment.date() == today else f"{moment:%d.%m. %H:%M}"
