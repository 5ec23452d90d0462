"""A family of a catalogue: its ladder, rows of tables and figures of its sheet corrected."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping
from typing import Annotated, Final

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.page import family_shown, shelf_tasks
from fitsolver.page.catalogue_head import head_of, path_of_family
from fitsolver.page.drafts import ChangedError
from fitsolver.page.pool import BusyError
from fitsolver.page.room import In, Room
from fitsolver.page.said import said
from fitsolver.page.shelf_read import without_path
from fitsolver.page.shelf_tasks import Corrected
from fitsolver.reading.catalogue_parts import ROUTE_KINDS
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.words import UNIT_WORDS
from fitsolver.usecases.catalogue_change import CORRECTED, OF_WORDS, TableShown
from fitsolver.usecases.catalogue_review import review
from fitsolver.usecases.family_change import Typed, sheet_of_family

router = APIRouter(include_in_schema=False)
#: Characters of one field.
_LONGEST: Final = 300


@router.get("/catalogues/{key}/family")
async def family(
    request: Request, room: In, key: str, name: Annotated[str, Query(max_length=200)] = ""
) -> HTMLResponse:
    """One family: its sizes as a ladder, its parts and the figures of its sheet."""
    return await _family(request, room, key, name)


async def _family(
    request: Request,
    room: Room,
    key: str,
    name: str,
    *,
    refusal: str = "",
    typed: Mapping[str, str] | None = None,
    status: int = 200,
) -> HTMLResponse:
    name = _known(room, key, name)
    folder = room.shelf.folder(key)
    version = await run_in_threadpool(room.shelf.version, key)
    parts: Catalogue | None = None
    tables: tuple[TableShown, ...] = ()
    try:
        tables = await room.ask(request, shelf_tasks.tables_of, folder, version, name)
        parts = await run_in_threadpool(room.shelf.get, key, name)
    except BusyError:
        raise
    except InputError as error:
        refusal = refusal or said(without_path(error, folder))
    sheet = await run_in_threadpool(sheet_of_family, folder, name)
    steps = () if parts is None else review(parts).sizes
    pistons = next((table for table in tables if table.name == "pistons"), None)
    rungs = () if parts is None else family_shown.ladder(parts, steps, pistons)
    data = {} if sheet is None else sheet.data
    unit = sheet.unit if sheet is not None else room.shelf.get(key).unit
    return room.show(
        request,
        "family.html",
        status,
        **head_of(room, key),
        name=name,
        version_of=version,
        refusal=refusal,
        typed=typed or {},
        parts=parts,
        pistons=pistons,
        rungs=rungs,
        left_over=family_shown.not_on_ladder(rungs, pistons),
        most=max((rung.stock for rung in rungs), default=0) or 1,
        tables=[table for table in tables if table.name != "pistons"],
        groups=list(family_shown.groups(data)),
        unit=UNIT_WORDS[unit],
        own_sheet=sheet is not None,
        column_words=family_shown.COLUMN_WORDS,
        table_words=family_shown.TABLE_WORDS,
        route_kinds=ROUTE_KINDS,
        of_words=OF_WORDS,
        families=room.shelf.families(key),
    )


def _known(room: Room, key: str, name: str) -> str:
    """Return a family of a catalogue; '' is the first. Raises InputError for one it has not."""
    families = room.shelf.families(key) or (room.shelf.get(key).family,)
    if not name:
        return families[0]
    if name not in families:
        raise InputError("the catalogue has no such family", found=name[:60])
    return name


@router.post("/catalogues/{key}/rows")
async def rows(request: Request, room: In, key: str) -> Response:
    """Correct rows of a table: what differs from what stands there; all of it or nothing."""
    fields = await _fields(request)
    name = _known(room, key, fields.get("family", ""))
    table = fields.get("table", "")
    folder = room.shelf.folder(key)

    async def corrected(version: str) -> Corrected | None:
        shown = await room.ask(request, shelf_tasks.tables_of, folder, version, name)
        changes = _changes(fields, table, shown)
        if not any(changes):
            return None
        return await room.work(request, shelf_tasks.correct_table, folder, name, table, *changes)

    return await _put_right(request, room, key, name, fields, corrected, table)


def _changes(
    fields: Mapping[str, str], table: str, shown: tuple[TableShown, ...]
) -> tuple[tuple[tuple[int, str, str], ...], tuple[tuple[str, str], ...], tuple[int, ...]]:
    """Return the changed cells (row, column, text), a new row's cells, and the rows to remove."""
    found = next((one for one in shown if one.name == table), None)
    if found is None or table not in CORRECTED:
        raise InputError("there is no such table", found=table[:40])
    cells = tuple(
        (row.number, column, fields[name].strip())
        for row in found.rows
        for column in found.columns
        if (name := f"r.{row.number}.{column}") in fields
        and fields[name].strip() != row.cells[column]
    )
    added = tuple(
        (column, text)
        for column in (found.key, *found.columns)
        if found.grows and (text := fields.get(f"n.{column}", "").strip())
    )
    dropped = tuple(row.number for row in found.rows if fields.get(f"drop.{row.number}"))
    return cells, added, dropped


@router.post("/catalogues/{key}/sheet")
async def sheet(request: Request, room: In, key: str) -> Response:
    """Correct figures of a family's sheet; all of them or none."""
    fields = await _fields(request)
    name = _known(room, key, fields.get("family", ""))
    folder = room.shelf.folder(key)

    async def corrected(_: str) -> Corrected | None:
        known = await run_in_threadpool(sheet_of_family, folder, name)
        values, dropped = _figures(fields, {} if known is None else known.data)
        if not values and not dropped:
            return None
        if known is None:
            values = (("units", room.shelf.get(key).unit), *values)
        return await room.work(request, shelf_tasks.correct_sheet, folder, name, values, dropped)

    return await _put_right(request, room, key, name, fields, corrected, "sheet")


def _figures(
    fields: Mapping[str, str], data: Mapping[str, object]
) -> tuple[tuple[tuple[str, Typed], ...], tuple[str, ...]]:
    """Return the changed figures, and the parts removed."""
    groups = list(family_shown.groups(data))
    values = tuple(
        (figure.path, family_shown.typed(figure, text))
        for group in groups
        for figure in group.every
        if (text := fields.get(f"f.{figure.path}", figure.value).strip()) != figure.value
    )
    return values, tuple(g.item for g in groups if g.item and fields.get(f"drop.{g.item}"))


async def _put_right(
    request: Request,
    room: Room,
    key: str,
    name: str,
    fields: Mapping[str, str],
    corrected: Callable[[str], Awaitable[Corrected | None]],
    part: str,
) -> Response:
    """Put the files that `corrected` makes of a version in place; then show their part again."""
    try:
        version = _current(room, key, fields)
        found = await corrected(version)
        if found is not None:
            await run_in_threadpool(room.shelf.change, key, version, found.files, found.gone)
    except BusyError:
        raise
    except InputError as error:
        return await _refused(request, room, key, name, error, fields)
    return RedirectResponse(f"{path_of_family(key, name)}#{part}", 303)


def _current(room: Room, key: str, fields: Mapping[str, str]) -> str:
    """Return the version that a change starts from.

    Raises InputError for a read-only catalogue, ChangedError for a version out of date.
    """
    if not room.shelf.may_change(key):
        raise InputError("this catalogue is only read here", allowed="a copy of it")
    version = room.shelf.version(key)
    if fields.get("version") != version:
        raise ChangedError("the catalogue was changed elsewhere meanwhile")
    return version


async def _refused(
    request: Request,
    room: Room,
    key: str,
    name: str,
    error: InputError,
    fields: Mapping[str, str],
) -> HTMLResponse:
    told = without_path(error, room.shelf.folder(key))
    told.file = _called(told.file)
    refusal = said(told)
    status = 409 if isinstance(error, ChangedError) else 400
    return await _family(request, room, key, name, refusal=refusal, typed=fields, status=status)


def _called(file: str) -> str:
    """Return what the page calls a file of a catalogue."""
    stem, _, kind = file.rpartition(".")
    if kind == "toml":
        return "catalogue" if stem == "catalogue" else "figures of the family"
    return stem if stem in CORRECTED else file


async def _fields(request: Request) -> Mapping[str, str]:
    form = await request.form()
    return {name[:200]: value[:_LONGEST] for name, value in form.items() if isinstance(value, str)}
