"""The choices that begin a job: a family, a catalogue, an example."""

from __future__ import annotations

from contextlib import suppress
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.page.room import Room
from fitsolver.reading.family_sheet import SHEET, family_sheets
from fitsolver.reading.owners import SHOP

#: Separator of a catalogue and its family in the choice of a new job.
OF: Final = " / "


def examples(room: Room) -> list[tuple[str, str]]:
    """Return the job files that lie in the catalogue folders the page was started with."""
    return [
        (key, path.stem)
        for key, folder in room.settings.catalogues.items()
        for path in sorted(folder.glob("*.toml"))
        if path.name not in ("catalogue.toml", SHEET, SHOP)
    ]


def engines(room: Room) -> dict[str, list[tuple[str, str]]]:
    """Return the choices that begin a job in two groups: a family of a catalogue, or a catalogue
    alone, where every figure of the engine is typed.

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
    plain = [(key, item.name) for key, item in catalogues]
    groups = {"figures from the family's sheet": found, "every figure typed": plain}
    return {title: choices for title, choices in groups.items() if choices}
