"""What every screen of a catalogue shows of it, and where it stands."""

from __future__ import annotations

from typing import TypedDict
from urllib.parse import quote

from fitsolver.page.room import Room
from fitsolver.records.catalogue import Catalogue


class Head(TypedDict):
    """A catalogue: its key, as part of an address too, and what may be done with it."""

    key: str
    link: str
    item: Catalogue
    may_change: bool
    of_start: bool
    can_undo: bool


def head_of(room: Room, key: str) -> Head:
    """Return what every screen of a catalogue shows."""
    return {
        "key": key,
        "link": quote(key, safe=""),
        "item": room.shelf.get(key),
        "may_change": room.shelf.may_change(key),
        "of_start": room.shelf.of_start(key),
        "can_undo": room.shelf.can_undo(key),
    }


def path_of(key: str) -> str:
    """Return where a catalogue is shown."""
    return f"/catalogues/{quote(key, safe='')}"


def path_of_family(key: str, name: str) -> str:
    """Return where a family of a catalogue is shown."""
    return f"{path_of(key)}/family?name={quote(name, safe='')}"
