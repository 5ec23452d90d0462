"""What a job may be begun with: a family, a catalogue, an example; and the jobs there are."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from typing import Final, TypedDict

from fitsolver.base.errors import InputError
from fitsolver.page.bench import content_of
from fitsolver.page.content import shown, tables
from fitsolver.page.drafts import Draft
from fitsolver.page.room import Room
from fitsolver.reading.family_sheet import SHEET, family_sheets
from fitsolver.reading.owners import SHOP

#: What stands between a catalogue and a family of it in the choice of a new job.
OF: Final = " / "


class Listed(TypedDict):
    """A job as it is listed; no cylinders where it cannot be read."""

    key: str
    name: str
    cylinders: list[str] | None


def listed(key: str, read: Callable[[str], Draft]) -> Listed:
    """Return a job as it is listed: by its name, and its cylinders where it can be read."""
    try:
        data = content_of(read(key).text)
    except InputError:  # a damaged file, or removed meanwhile: the others are there all the same
        return {"key": key, "name": "", "cylinders": None}
    names = [shown(item.get("name")) for item in tables(data, "cylinder")]
    return {"key": key, "name": shown(data.get("name")), "cylinders": names}


def examples(room: Room) -> list[tuple[str, str]]:
    """Return the job files that lie in the catalogue folders the page was started with."""
    return [
        (key, path.stem)
        for key, folder in room.settings.catalogues.items()
        for path in sorted(folder.glob("*.toml"))
        if path.name not in ("catalogue.toml", SHEET, SHOP)
    ]


def engines(room: Room) -> list[tuple[str, str]]:
    """Return what a job may be begun with: a family of a catalogue, or a catalogue alone.

    The shop's own catalogues come before those that the page was started with.
    """
    found = []
    catalogues = sorted(room.shelf.all().items(), key=lambda item: room.shelf.of_start(item[0]))
    for key, parts in catalogues:
        with suppress(InputError):
            found += [
                (f"{key}{OF}{family}", f"{family} ({parts.name})")
                for family in family_sheets(room.shelf.folder(key))
            ]
    plain = [(key, f"{item.name}, every figure typed") for key, item in catalogues]
    return [*found, *plain]
