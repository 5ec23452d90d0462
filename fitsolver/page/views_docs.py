"""The JSON API described for people: every body with an example that can be sent from there."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any, Final, NamedTuple, cast

from fastapi import APIRouter, FastAPI, Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse

from fitsolver.page.api_examples import Body, Description, with_examples
from fitsolver.page.asked import Asked, understood
from fitsolver.page.room import In, Room
from fitsolver.records.plan import Answer

router = APIRouter(include_in_schema=False)
DESCRIPTION: Final = "/api/openapi.json"
_JSON: Final = "application/json"
Described = dict[str, Any]


class Key(NamedTuple):
    """A key of a body: its kind in words, whether it is needed, and what it is."""

    name: str
    kind: str
    needed: bool
    told: str


class Operation(NamedTuple):
    """One way to ask. `example` is a body that runs; `files`: files are sent in its place."""

    name: str
    method: str
    path: str
    summary: str
    keys: tuple[Key, ...]
    example: str
    files: bool
    answers: tuple[tuple[str, str], ...]


@router.get(DESCRIPTION)
async def description(request: Request, room: In) -> JSONResponse:
    """The description as OpenAPI has it, with an example for every body."""
    return JSONResponse(await _described(request, room))


@router.get("/api")
async def docs(request: Request, room: In) -> HTMLResponse:
    """The description to read and to try."""
    described = await _described(request, room)
    return room.show(
        request, "api.html", operations=list(_operations(described)), description=DESCRIPTION
    )


@router.get("/docs")
async def usual_address() -> RedirectResponse:
    """Where people look for it."""
    return RedirectResponse("/api", 308)


async def _described(request: Request, room: Room) -> Described:
    app: FastAPI = request.app
    described = cast(Description, app.openapi())

    async def ordered(body: Body) -> Answer:
        return await room.pick(request, *understood(Asked.model_validate(body), room))

    return cast(Described, await with_examples(described, ordered))


def _operations(described: Described) -> Iterator[Operation]:
    records = described["components"]["schemas"]
    for path, ways in described["paths"].items():
        for method, told in ways.items():
            content = told.get("requestBody", {}).get("content", {})
            body = content.get(_JSON, {})
            record = records[_name(body["schema"])] if body else {}
            yield Operation(
                name=told["operationId"],
                method=method.upper(),
                path=path,
                summary=told["summary"],
                keys=tuple(_keys(record)),
                example=json.dumps(body["example"], indent=2, ensure_ascii=False) if body else "",
                files="multipart/form-data" in content,
                answers=tuple((code, it["description"]) for code, it in told["responses"].items()),
            )


def _keys(record: Mapping[str, Any]) -> Iterator[Key]:
    for name, schema in record.get("properties", {}).items():
        needed = name in record.get("required", ())
        yield Key(name, _kind(schema), needed, schema.get("description", ""))


def _kind(schema: Mapping[str, Any]) -> str:
    """Return what a value is, in a few words."""
    if "$ref" in schema:
        return f"record {_name(schema)}"
    if "anyOf" in schema:
        return " or ".join(_kind(one) for one in schema["anyOf"] if one.get("type") != "null")
    if "enum" in schema:
        return " or ".join(json.dumps(one) for one in schema["enum"])
    if schema.get("type") == "array":
        return f"list: {_kind(schema.get('items', {}))}"
    words = {"string": "text", "boolean": "true or false", "object": "texts by name"}
    kind = str(schema.get("type", "value"))
    return words.get(kind, kind)


def _name(schema: Mapping[str, Any]) -> str:
    return str(schema["$ref"]).rpartition("/")[2]
