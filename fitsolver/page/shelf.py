"""The catalogues that the page knows: those it was started with, and those that were uploaded."""

from __future__ import annotations

import re
import secrets
import shutil
from collections.abc import Mapping, Sequence
from pathlib import Path
from threading import Lock
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.reading.files import MemoryFolder
from fitsolver.records.catalogue import Catalogue

_FILE: Final = re.compile(r"[a-z_]{1,20}\.(toml|csv|xlsx)")
_MOST: Final = 200
_UNDER_WAY: Final = ".new-"
#: Bytes of the disk that uploads leave to the jobs.
_LEFT_FREE: Final = 200_000_000


class Shelf:
    """Catalogues by the key they are chosen by; each is read once."""

    def __init__(self, known: Mapping[str, Path], folder: Path) -> None:
        self._folder, self._lock, self._known = folder, Lock(), dict(known)
        folder.mkdir(parents=True, exist_ok=True)
        self._read = {key: read_catalogue(path) for key, path in known.items()}
        #: Uploaded ones that cannot be read any more, and why: the others are there all the same.
        self.broken: dict[str, str] = {}
        for path in sorted(folder.iterdir()):
            if path.name.startswith(_UNDER_WAY):  # of a page that was killed while it read them
                shutil.rmtree(path, ignore_errors=True)
            elif path.is_dir():
                self._take_in(path)

    def _take_in(self, path: Path) -> None:
        try:
            self._read[path.name] = readable(path)
        except InputError as error:
            self.broken[path.name] = str(error)

    def all(self) -> dict[str, Catalogue]:
        """Return every catalogue by its key."""
        return dict(self._read)

    def get(self, key: str) -> Catalogue:
        """Return one catalogue; raises InputError for one that is not known here."""
        if key not in self._read:
            raise InputError(
                "this catalogue is not known here",
                field="catalogue",
                found=key[:60],
                allowed=", ".join(self._read) or "upload one first",
            )
        return self._read[key]

    def folder(self, key: str) -> Path:
        """Return where the files of a catalogue lie; raises InputError as `get` does."""
        self.get(key)
        return self._known.get(key, self._folder / key)

    def named(self, files: Sequence[tuple[str, bytes]]) -> dict[str, bytes]:
        """Return the files of a catalogue by name.

        Names are only looked up among those a catalogue may have; nothing else is kept. Raises
        InputError for files that are no part of one, and where there is no room for more.
        """
        names = [Path(name.replace("\\", "/")).name.lower() for name, _ in files]
        for name in names:
            if not _FILE.fullmatch(name):
                raise InputError(
                    "this file is no part of a catalogue",
                    found=name[:60],
                    allowed="catalogue.toml with pistons.csv, rings.csv, ... (or .xlsx)",
                )
        if len(set(names)) < len(names):
            raise InputError("two files have one name", found=", ".join(sorted(names)))
        self._check_room()
        if shutil.disk_usage(self._folder).free < _LEFT_FREE:
            raise InputError("the disk is nearly full; nothing was kept")
        return {name: content for name, (_, content) in zip(names, files, strict=True)}

    def keep(self, files: Mapping[str, bytes], catalogue: Catalogue) -> str:
        """Keep the files that were `named`, read as this catalogue, and return its key."""
        key = f"{_plain(catalogue.name)}-{secrets.token_hex(3)}"
        new = self._folder / f"{_UNDER_WAY}{key}"
        try:
            new.mkdir()
            for name, content in files.items():
                (new / name).write_bytes(content)
            with self._lock:
                self._check_room()
                new.rename(self._folder / key)
                self._read[key] = catalogue
        except OSError as error:
            raise InputError(f"this cannot be kept ({error.strerror or error})") from error
        finally:
            shutil.rmtree(new, ignore_errors=True)
        return key

    def _check_room(self) -> None:
        if len(self._read) >= _MOST:
            raise InputError("too many catalogues are kept", allowed=str(_MOST))


def readable(folder: Path) -> Catalogue:
    """Read a catalogue; what is refused is told by its file's name, not by where it lies here."""
    try:
        return read_catalogue(folder)
    except InputError as error:
        raise InputError(
            error.message.replace(str(folder), "the catalogue"),
            file=Path(error.file).name if error.file else "",
            row=error.row,
            field=error.field,
            found=error.found,
            allowed=error.allowed,
        ) from error


def catalogue_of(files: Mapping[str, bytes]) -> Catalogue:
    """Return the catalogue of files that were sent, by their names; raises InputError."""
    return read_catalogue(MemoryFolder("catalogue", files))


def _plain(name: str) -> str:
    """Return a name as letters, digits and hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:40] or "catalogue"
