"""A request that is not as described: each wrong field by its full path, in the sender's terms."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from pydantic import BaseModel
from pydantic_core import ErrorDetails

_MOST: Final = 20
_LONGEST: Final = 300


class WrongField(BaseModel):
    """A field by its path, as `job.cylinders.0.zero`, and what is wrong with it."""

    field: str
    message: str


def wrong_fields(errors: Iterable[ErrorDetails], body: object) -> list[WrongField]:
    """Return the wrong fields of a body, the first ones only.

    Where a field may have several types, the validator puts their names into the path; they are
    removed. An error of a record is left out if one of its fields has an error.
    """
    found = [
        WrongField(
            field=".".join(_path(error["loc"][1:], body, error["type"]))[:_LONGEST],
            message=error["msg"][:_LONGEST],
        )
        for error in errors
    ]
    paths = {item.field for item in found}
    inner = [item for item in found if not any(_inside(path, item.field) for path in paths)]
    return inner[:_MOST]


def _inside(path: str, whole: str) -> bool:
    return path != whole and (not whole or path.startswith(f"{whole}."))


def _path(places: Sequence[object], body: object, kind: str) -> Iterator[str]:
    """Yield the parts of the path that exist in the body; a missing last one stays."""
    for number, place in enumerate(places, start=1):
        held = isinstance(body, Mapping) and place in body
        if held or (isinstance(body, list) and isinstance(place, int) and place < len(body)):
            body = body[place]  # type: ignore[index]
        elif not (kind == "missing" and number == len(places)):
            continue
        yield str(place)
