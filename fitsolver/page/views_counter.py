"""The counter: a family by a few letters and the size of each bore in, what to sell out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from copy import copy
from typing import Annotated, Final, NamedTuple
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.page import tasks
from fitsolver.page.calls import Call
from fitsolver.page.room import In, Room
from fitsolver.page.said import said
from fitsolver.page.shelf import without_path
from fitsolver.reading.counter_words import (
    STANDARD,
    family_and_sizes,
    family_named,
    joined_units,
)
from fitsolver.reading.owners import nearest_shop
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.counter import CounterAnswer
from fitsolver.records.figures import Figures, money
from fitsolver.records.job import Job
from fitsolver.reporting.counter_view import CounterSaid, counter_said
from fitsolver.usecases.counter_files import equal_job

router = APIRouter(include_in_schema=False)
Word = Annotated[str, Form(max_length=200)]
Asked = Annotated[str, Query(max_length=200)]
#: Calls that are listed, and lines of sizes that are shown at once.
_CALLS: Final = 8
_LINES: Final = 7
#: Families that are offered while one types.
_OFFERED: Final = 500
#: Families that may be meant, offered to choose from.
_CHOICES: Final = 8


class Question(NamedTuple):
    """What was typed: a family or enough of it, sizes; a catalogue's key, '' = any."""

    family: str = ""
    sizes: str = ""
    catalogue: str = ""
    kits_only: str = ""
    in_stock: str = ""

    @property
    def words(self) -> tuple[str, ...]:
        """Return the words as the command takes them; sizes may have the family before them."""
        sizes = self.sizes.replace(";", " ").split()
        if sizes and not _is_size(sizes[0]):
            return tuple(sizes)
        return (self.family.strip(), *sizes)


class Listed(NamedTuple):
    """A kept call as it is listed."""

    key: str
    time: str
    family: str
    sizes: str
    advised: str


class SeveralError(InputError):
    """What was typed may be one of several families."""

    families: tuple[str, ...] = ()


def _is_size(word: str) -> bool:
    return word[0].isdigit() or word[0] in "+-.," or word.casefold() in STANDARD


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


async def kept_call(request: Request, room: Room, asked: Question) -> RedirectResponse:
    """Answer a call, keep it and lead to it; to the form where it is refused."""
    try:
        key, answer = await answered(request, room, asked)
    except InputError:
        return RedirectResponse(f"/counter?{urlencode(asked._asdict())}", 303)
    chosen = key if asked.catalogue else ""
    kept = await run_in_threadpool(room.calls.keep, chosen, answer.family, _sizes(asked), answer)
    return RedirectResponse(f"/counter/{kept}", 303)


@router.get("/counter/{key}")
async def call(request: Request, room: In, key: str) -> HTMLResponse:
    """A call that was kept: its answer as it was given."""
    found = room.calls.read(key)
    kits_only, in_stock = found.answer.kits_only, found.answer.in_stock
    asked = Question(found.family, "", found.catalogue, "yes" * kits_only, "yes" * in_stock)
    return await _shown(request, room, asked, found.answer, found)


async def answered(request: Request, room: Room, asked: Question) -> tuple[str, CounterAnswer]:
    """Return the key of the catalogue that was meant, and the counter's answer.

    Raises InputError for a family or a size that is none, and as the command does.
    """
    key, job, parts = await run_in_threadpool(understood, asked, room)
    sold = (bool(asked.kits_only), bool(asked.in_stock))
    return key, await room.ask(request, tasks.counter, job, parts, *sold)


def understood(asked: Question, room: Room) -> tuple[str, Job, Catalogue]:
    """Return the catalogue's key, and the job that a question stands for; raises InputError."""
    if not asked.words[0]:
        raise InputError("which family?", field="family", allowed="a few letters of its name")
    known = {
        key: room.shelf.families(key)
        for key in ([asked.catalogue] if asked.catalogue else room.shelf.all())
    }
    names = list(dict.fromkeys(name for families in known.values() for name in families))
    try:
        family, sizes = family_and_sizes(asked.words, names)
    except InputError as error:
        return _near(asked, room, known, error)
    return _of_family(room, known, family, sizes)


def _near(
    asked: Question, room: Room, known: Mapping[str, tuple[str, ...]], refused: InputError
) -> tuple[str, Job, Catalogue]:
    """Return the only family of several whose bores are near the sizes; raises InputError else."""
    word, *sizes = asked.words
    found: dict[str, tuple[str, Job, Catalogue]] = {}
    several = SeveralError(**vars(refused))
    several.families = _meant(word, known)
    for family in several.families if sizes else ():
        try:
            found[family] = _of_family(room, known, family, joined_units(sizes))
        except InputError as error:
            if error.field != "size":
                raise
    if len(found) == 1:
        return next(iter(found.values()))
    raise several if several.families else refused


def _meant(word: str, known: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    """Return the families that a word may mean, where it may mean several."""
    names = dict.fromkeys(name for families in known.values() for name in families)
    try:
        family_named(word, list(names))
    except InputError as error:
        if "families" not in error.message:
            return ()
    found = []
    for name in names:
        with suppress(InputError):
            found.append(family_named(word, [name]))
    return tuple(found[:_CHOICES])


def _of_family(
    room: Room, known: Mapping[str, tuple[str, ...]], family: str, sizes: Sequence[str]
) -> tuple[str, Job, Catalogue]:
    key = _one_of(room, family, [key for key, families in known.items() if family in families])
    folder = room.shelf.folder(key)
    try:
        return key, *equal_job((family, *sizes), folder, nearest_shop(folder))
    except InputError as error:
        raise without_path(error, folder) from error


def _one_of(room: Room, family: str, keys: Sequence[str]) -> str:
    """Return the catalogue that a family is looked for in: the shop's own before demonstrations."""
    own = [key for key in keys if not room.shelf.is_demo(key)] or list(keys)
    if len(own) == 1:
        return own[0]
    raise InputError(
        f"{family} stands in {len(own)} catalogues: choose one beside the bore",
        field="catalogue",
        allowed=", ".join(room.shelf.get(key).name for key in own),
    )


def _sizes(asked: Question) -> str:
    """Return the sizes as they were typed, without the family before them."""
    words = asked.sizes.replace(";", " ").split()
    while words and not _is_size(words[0]):
        words.pop(0)
    return " ".join(words)


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
            (name, urlencode(asked._replace(family=name, sizes=_sizes(asked))._asdict()))
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


def offered(room: Room) -> Iterator[str]:
    """Yield the families that may be typed, those of the shop's own catalogues first."""
    names = dict.fromkeys(
        name
        for key in sorted(room.shelf.all(), key=room.shelf.of_start)
        for name in room.shelf.families(key)
    )
    yield from list(names)[:_OFFERED]


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
    told.message = error.message.replace("; allowed:", ", known are")
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
