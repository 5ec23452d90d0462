"""A call at the counter: the question typed, the family meant, the answer, and the record of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from typing import Final, NamedTuple
from urllib.parse import urlencode

from fastapi import Request
from fastapi.responses import RedirectResponse
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.page import counter_task
from fitsolver.page.room import Room
from fitsolver.page.shelf_read import without_path
from fitsolver.reading.counter_words import (
    STANDARD,
    family_and_sizes,
    family_named,
    joined_units,
)
from fitsolver.reading.owners import nearest_shop
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.counter import CounterAnswer
from fitsolver.records.job import Job
from fitsolver.usecases.counter_files import equal_job

#: Most families offered during typing, and most named when several may be meant.
_OFFERED: Final = 500
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


class SeveralError(InputError):
    """What was typed may be one of several families."""

    families: tuple[str, ...] = ()


def _is_size(word: str) -> bool:
    return word[0].isdigit() or word[0] in "+-.," or word.casefold() in STANDARD


async def kept_call(request: Request, room: Room, asked: Question) -> RedirectResponse:
    """Answer a call, keep it and lead to it; to the form where it is refused."""
    try:
        key, answer = await answered(request, room, asked)
    except InputError:
        return RedirectResponse(f"/counter?{urlencode(asked._asdict())}", 303)
    chosen = key if asked.catalogue else ""
    kept = await run_in_threadpool(
        room.calls.keep, chosen, answer.family, sizes_typed(asked), answer
    )
    return RedirectResponse(f"/counter/{kept}", 303)


async def answered(request: Request, room: Room, asked: Question) -> tuple[str, CounterAnswer]:
    """Return the key of the catalogue that was meant, and the counter's answer.

    Raises InputError for an unknown family or an invalid size, and as the command does.
    """
    key, job, parts = await run_in_threadpool(understood, asked, room)
    sold = (bool(asked.kits_only), bool(asked.in_stock))
    return key, await room.ask(request, counter_task.counter, job, parts, *sold)


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
    """Return the only one of several families with bores near the sizes; otherwise raise
    InputError.
    """
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


def sizes_typed(asked: Question) -> str:
    """Return the sizes as they were typed, without the family before them."""
    words = asked.sizes.replace(";", " ").split()
    while words and not _is_size(words[0]):
        words.pop(0)
    return " ".join(words)


def offered(room: Room) -> Iterator[str]:
    """Yield the families that may be typed, those of the shop's own catalogues first."""
    names = dict.fromkeys(
        name
        for key in sorted(room.shelf.all(), key=room.shelf.of_start)
        for name in room.shelf.families(key)
    )
    yield from list(names)[:_OFFERED]
