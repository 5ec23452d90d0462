"""The catalogues that the page knows: those it was started with, and those that were uploaded."""

from __future__ import annotations

import re
import secrets
import shutil
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from threading import Lock
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_folder import read_catalogue
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

    @contextmanager
    def unpacked(self, files: Sequence[tuple[str, bytes]]) -> Iterator[Path]:
        """Write the files of a catalogue into a folder that is there for a while, and give it.

        Names are only looked up among those a catalogue may have; nothing else is written.
        Raises InputError for files that are no part of one.
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
        if len(self._read) >= _MOST:
            raise InputError("too many catalogues are kept", allowed=str(_MOST))
        if shutil.disk_usage(self._folder).free < _LEFT_FREE:
            raise InputError("the disk is nearly full; nothing was kept")
        try:
            with tempfile.TemporaryDirectory(dir=self._folder, prefix=_UNDER_WAY) as work:
                new = Path(work) / "catalogue"
                new.mkdir()
                for name, (_, content) in zip(names, files, strict=True):
                    (new / name).write_bytes(content)
                yield new
        except OSError as error:
            raise InputError(f"this cannot be kept ({error.strerror or error})") from error

    def keep(self, folder: Path, catalogue: Catalogue) -> str:
        """Keep a folder that was `unpacked`, read as this catalogue, and return its key."""
        key = f"{_plain(catalogue.name)}-{secrets.token_hex(3)}"
        with self._lock:
            if len(self._read) >= _MOST:
                raise InputError("too many catalogues are kept", allowed=str(_MOST))
            shutil.move(folder, self._folder / key)
            self._read[key] = catalogue
        return key


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


def _plain(name: str) -> str:
    """Return a name as letters, digits and hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:40] or "catalogue"
