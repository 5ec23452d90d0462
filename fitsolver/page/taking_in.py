"""A catalogue that is uploaded: written here, read by a worker, then kept."""

from __future__ import annotations

from collections.abc import Sequence

from fastapi import Request, UploadFile

from fitsolver.page import tasks
from fitsolver.page.room import Room
from fitsolver.page.uploads import contents


async def catalogue_from(request: Request, room: Room, files: Sequence[UploadFile]) -> str:
    """Keep a catalogue from the files of its folder, and return its key.

    Raises InputError, and keeps nothing, for files that are no catalogue.
    """
    with room.shelf.unpacked(await contents(files)) as folder:
        catalogue = await room.work(request, tasks.catalogue_in, folder)
        return room.shelf.keep(folder, catalogue)
