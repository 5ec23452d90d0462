"""Catalogues: what they hold, a family's ladder, rows and sheets corrected, files sent, undo."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Final
from urllib.parse import quote

from fastapi import APIRouter, Form, Query, Request, UploadFile
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from fitsolver.base.errors import InputError
from fitsolver.page import family_shown, shelf_tasks
from fitsolver.page.drafts import ChangedError
from fitsolver.page.pool import BusyError
from fitsolver.page.room import In, Room
from fitsolver.page.said import said
from fitsolver.page.sections import under_headings
from fitsolver.page.shelf_read import catalogue_of, without_path
from fitsolver.page.shelf_tasks import Corrected
from fitsolver.page.uploads import contents
from fitsolver.reading.toml_edit import with_values
from fitsolver.reading.toml_text import value_text
from fitsolver.records.base import FITS
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.figures import Figures
from fitsolver.records.review import Doubt
from fitsolver.records.words import UNIT_WORDS
from fitsolver.usecases.catalogue_change import CORRECTED, TableShown, sheet_of_family
from fitsolver.usecases.catalogue_review import review
from fitsolver.verbs.report import report

router = APIRouter(include_in_schema=False)
Word = Annotated[str, Form(max_length=200)]
#: Files of a catalogue that may be sent at once: its tables and the sheets of its families.
_MOST_FILES: Final = 300
_LONGEST: Final = 300


@router.get("/catalogues")
async def catalogues(request: Request, room: In) -> HTMLResponse:
    """Every catalogue that is known here, and the ways to bring another."""
    shelf = room.shelf
    listed = [
        (key, item, shelf.families(key), shelf.may_change(key), shelf.of_start(key))
        for key, item in shelf.all().items()
    ]
    return room.show(
        request,
        "catalogues.html",
        listed=sorted(listed, key=lambda item: item[4]),
        taken_off=shelf.taken_off(),
        broken=shelf.broken,
    )


@router.post("/catalogues/upload")
async def upload(request: Request, room: In, files: list[UploadFile]) -> RedirectResponse:
    """Keep a catalogue from its files or from one workbook, and show what it holds."""
    key = await room.take_in(request, await contents(files, most=_MOST_FILES))
    return RedirectResponse(_path(key), 303)


@router.get("/catalogues/{key}")
async def catalogue(request: Request, room: In, key: str) -> HTMLResponse:
    """What a catalogue holds: its families, doubtful entries."""
    families = room.shelf.families(key)
    found, refusal = None, ""
    try:
        version = await run_in_threadpool(room.shelf.version, key)
        found = await room.ask(request, shelf_tasks.summed_up, room.shelf.folder(key), version)
    except BusyError:
        raise
    except InputError as error:  # too much for one look: its families are there all the same
        refusal = said(without_path(error, room.shelf.folder(key)))
    sections = [] if found is None else under_headings(report(found))
    return room.show(
        request,
        "catalogue.html",
        **_head(room, key),
        families=families or (room.shelf.get(key).family,),
        summaries={} if found is None else {one.family: one for one in found.families},
        figures=None if found is None else Figures(found.unit),
        sections=[] if found is not None and found.families else sections,
        doubtful=[] if found is None or not found.families else _grouped(found.doubtful),
        refusal=refusal,
    )


def _grouped(doubts: Sequence[Doubt]) -> list[tuple[str, int, str]]:
    """Return doubtful entries, of several the same once: sentence, how many, the first."""
    found: dict[str, list[str]] = {}
    for doubt in doubts:
        found.setdefault(doubt.sentence, []).append(doubt.number or doubt.table)
    return [(said_, len(of), ", ".join(of[:3])) for said_, of in found.items()]


def _head(room: Room, key: str) -> dict[str, Any]:
    return {
        "key": key,
        "link": quote(key, safe=""),
        "item": room.shelf.get(key),
        "may_change": room.shelf.may_change(key),
        "of_start": room.shelf.of_start(key),
        "can_undo": room.shelf.can_undo(key),
    }


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
        **_head(room, key),
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
        fits=FITS,
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
    try:
        version = _current(room, key, fields)
        shown = await room.ask(request, shelf_tasks.tables_of, folder, version, name)
        changes = _changes(fields, table, shown)
        if changes:
            found = await room.work(
                request, shelf_tasks.correct_table, folder, name, table, changes
            )
            await _put(room, key, version, found)
    except BusyError:
        raise
    except InputError as error:
        return await _refused(request, room, key, name, error, fields)
    return RedirectResponse(f"{_of_family(key, name)}#{table}", 303)


def _changes(
    fields: Mapping[str, str], table: str, shown: tuple[TableShown, ...]
) -> tuple[tuple[int, str, str], ...]:
    """Return the cells that were typed otherwise than they stand: row, column, text."""
    found = next((one for one in shown if one.name == table), None)
    if found is None or table not in CORRECTED:
        raise InputError("there is no such table", found=table[:40])
    return tuple(
        (row.number, column, fields[name].strip())
        for row in found.rows
        for column in found.columns
        if (name := f"r.{row.number}.{column}") in fields
        and fields[name].strip() != row.cells[column]
    )


@router.post("/catalogues/{key}/sheet")
async def sheet(request: Request, room: In, key: str) -> Response:
    """Correct figures of a family's sheet; all of them or none."""
    fields = await _fields(request)
    name = _known(room, key, fields.get("family", ""))
    folder = room.shelf.folder(key)
    try:
        version = _current(room, key, fields)
        known = await run_in_threadpool(sheet_of_family, folder, name)
        values, dropped = _figures(fields, {} if known is None else known.data)
        if values or dropped:
            if known is None:
                values = (("units", room.shelf.get(key).unit), *values)
            found = await room.work(
                request, shelf_tasks.correct_sheet, folder, name, values, dropped
            )
            await _put(room, key, version, found)
    except BusyError:
        raise
    except InputError as error:
        return await _refused(request, room, key, name, error, fields)
    return RedirectResponse(f"{_of_family(key, name)}#sheet", 303)


def _figures(
    fields: Mapping[str, str], data: Mapping[str, Any]
) -> tuple[tuple[tuple[str, str], ...], tuple[str, ...]]:
    """Return the figures that were typed otherwise than they stand, and the parts taken out."""
    there = {
        figure.path: figure.value
        for group in family_shown.groups(data)
        for figure in group.figures
        if not figure.fixed
    }
    values = tuple(
        (path, fields[f"f.{path}"].strip())
        for path, value in there.items()
        if f"f.{path}" in fields and fields[f"f.{path}"].strip() != value
    )
    items = [group.item for group in family_shown.groups(data) if group.item]
    return values, tuple(item for item in items if fields.get(f"drop.{item}"))


async def _put(room: Room, key: str, version: str, found: Corrected) -> None:
    await run_in_threadpool(room.shelf.change, key, version, found.files, found.gone)


def _current(room: Room, key: str, fields: Mapping[str, str]) -> str:
    """Return the state that a change is made from; raises where it is another one by now."""
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


@router.post("/catalogues/{key}/undo")
async def undo(room: In, key: str, family: Word = "") -> RedirectResponse:
    """Put back the state of a catalogue before the last change."""
    await run_in_threadpool(room.shelf.undo, key)
    return RedirectResponse(_of_family(key, family) if family else _path(key), 303)


@router.post("/catalogues/{key}/copy")
async def copy(request: Request, room: In, key: str) -> RedirectResponse:
    """Keep a copy of a catalogue that can be changed."""
    sent = await run_in_threadpool(room.shelf.files, key)
    head = sent["catalogue.toml"].decode("utf-8-sig")
    name = value_text(f"{room.shelf.get(key).name} (copy)")
    sent["catalogue.toml"] = with_values(head, {"name": name}).encode()
    files = room.shelf.named(list(sent.items()))
    found = await room.work(request, catalogue_of, files)
    return RedirectResponse(_path(await run_in_threadpool(room.shelf.keep, files, found)), 303)


@router.post("/catalogues/{key}/take-off")
async def take_off(room: In, key: str) -> RedirectResponse:
    """Take a catalogue that was sent off the shelf; it can be put back."""
    await run_in_threadpool(room.shelf.take_off, key)
    return RedirectResponse("/catalogues", 303)


@router.post("/catalogues/{key}/put-back")
async def put_back(room: In, key: str) -> RedirectResponse:
    """Put a catalogue back that was taken off."""
    await run_in_threadpool(room.shelf.put_back, key)
    return RedirectResponse(_path(key), 303)


def _path(key: str) -> str:
    return f"/catalogues/{quote(key, safe='')}"


def _of_family(key: str, name: str) -> str:
    return f"{_path(key)}/family?name={quote(name, safe='')}"
