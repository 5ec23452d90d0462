"""The catalogues that the page knows: those from its start, and the uploaded ones.

Each is a folder of files. A catalogue of several families is read one family at a time, on demand.
"""

from __future__ import annotations

import hashlib
import re
import secrets
import shutil
from collections import OrderedDict
from collections.abc import Collection, Hashable, Mapping, Sequence
from pathlib import Path
from threading import RLock
from typing import Final

from fitsolver.base.demos import demo_folders
from fitsolver.base.errors import InputError
from fitsolver.base.whole_folder import before_of, change_folder, step_back
from fitsolver.page.drafts import ChangedError
from fitsolver.page.family_files import FamilyFiles, stamp_of
from fitsolver.page.shelf_read import first_of, readable, without_path
from fitsolver.reading.catalogue_columns import COLUMNS
from fitsolver.reading.family_sheet import as_named
from fitsolver.reading.files import Parts
from fitsolver.records.catalogue import Catalogue

_FILE: Final = re.compile(r"[a-z_]{1,20}\.(toml|csv|xlsx)|families/[a-z0-9_-]{1,60}\.toml")
#: Files of a folder that are not part of a catalogue: a shop file names other files.
_NO_PART: Final = ("shop.toml",)
#: Names that no family sheet may have.
_HEADS: Final = ("catalogue.toml", "family.toml", "intake.toml", *_NO_PART)
_MOST: Final = 200
#: Most families of large catalogues kept in memory.
_HELD: Final = 60
_UNDER_WAY: Final = ".new-"
#: Bytes of the disk that uploads must leave free for the jobs.
_LEFT_FREE: Final = 200_000_000


class Shelf:
    """Catalogues by key.

    Visitors may always change uploaded catalogues, and never demonstrations; the catalogues of the
    start only with `may_change`.
    """

    def __init__(
        self, known: Mapping[str, Path], folder: Path, *, may_change: bool = False
    ) -> None:
        self._folder, self._lock, self._known = folder, RLock(), dict(known)
        self._may_change = may_change
        self._demos = {path.resolve() for path in demo_folders().values()}
        folder.mkdir(parents=True, exist_ok=True)
        self._families: dict[str, tuple[str, ...]] = {}
        self._first: dict[str, Catalogue] = {}
        self._read: OrderedDict[tuple[str, str], Catalogue] = OrderedDict()
        self._sheets, self._changes = FamilyFiles(), 0
        for key, path in known.items():
            self._put(key, path)
        #: Uploaded catalogues that can no longer be read, with the reason; the others stay
        #: available.
        self.broken: dict[str, str] = {}
        for path in sorted(folder.iterdir()):
            if path.name.startswith(_UNDER_WAY):  # of a page that was killed while it read them
                shutil.rmtree(path, ignore_errors=True)
            elif path.is_dir() and not path.name.startswith("."):
                self._take_in(path)

    def _take_in(self, path: Path) -> None:
        try:
            self._put(path.name, path)
        except InputError as error:
            self.broken[path.name] = str(without_path(error, path))

    def _put(self, key: str, path: Path) -> None:
        families, first = first_of(path)
        with self._lock:
            self._changes += 1
            self._families[key], self._first[key] = families, first
            for held in [one for one in self._read if one[0] == key]:
                del self._read[held]

    def all(self) -> dict[str, Catalogue]:
        """Return every catalogue by its key; of several families the first stands for all."""
        return dict(self._first)

    def families(self, key: str) -> tuple[str, ...]:
        """Return the families of a catalogue; raises InputError as `get` does."""
        self._check(key)
        return self._families[key]

    def get(self, key: str, family: str | None = None) -> Catalogue:
        """Return a catalogue: that of `family` if it has several families, by default the first.

        Raises InputError for an unknown catalogue, and if the family's parts cannot be read.
        """
        self._check(key)
        first = self._first[key]
        named = first.family if family is None else as_named(family, self._families[key])
        if named == first.family or named not in self._families[key]:
            return first
        if (key, named) not in self._read:
            found = readable(self.folder(key), named)
            with self._lock:
                self._read[key, named] = found
                while len(self._read) > _HELD:
                    self._read.popitem(last=False)
            return found
        return self._read[key, named]

    def sheets(self, key: str, family: str) -> Parts:
        """Return where the sheet of a family is read; raises InputError as `get` does."""
        return self._sheets.of(self.folder(key), family)

    def stamp(self, key: str) -> Hashable:
        """Return a stamp that changes whenever a job of this catalogue may have another meaning."""
        return self._changes, stamp_of(self._place(key)) if key in self._first else ()

    def _check(self, key: str) -> None:
        if key not in self._first:
            raise InputError(
                "this catalogue is not known here",
                field="catalogue",
                found=key[:60],
                allowed=", ".join(self._first) or "upload one first",
            )

    def folder(self, key: str) -> Path:
        """Return where the files of a catalogue lie; raises InputError as `get` does."""
        self._check(key)
        return self._place(key)

    def _place(self, key: str) -> Path:
        return self._known.get(key, self._folder / key)

    def of_start(self, key: str) -> bool:
        """Tell whether the page was started with this catalogue."""
        return key in self._known

    def is_demo(self, key: str) -> bool:
        """Tell whether this is a demonstration that the program brings along."""
        return key in self._known and self._known[key].resolve() in self._demos

    def may_change(self, key: str) -> bool:
        """Tell whether this catalogue may be changed here; a demonstration never is."""
        if key not in self._first:
            return False
        return key not in self._known or (self._may_change and not self.is_demo(key))

    def files(self, key: str) -> dict[str, bytes]:
        """Return the files of a catalogue by name, without what else lies in its folder."""
        folder = self.folder(key)
        tables = [f"{name}{suffix}" for name in COLUMNS for suffix in (".csv", ".xlsx")]
        heads = [*tables, "catalogue.toml", "family.toml", "intake.toml"]
        found = [path for path in folder.iterdir() if path.name.lower() in heads]
        found += sorted(folder.glob("families/*.toml"))
        return {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}

    def version(self, key: str) -> str:
        """Return the version of a catalogue's files, which a change must name."""
        folder = self.folder(key)
        stamp = hashlib.sha256()
        for path in sorted(path for path in folder.rglob("*") if path.is_file()):
            told = path.stat()
            line = f"{path.relative_to(folder)} {told.st_size} {told.st_mtime_ns}\n"
            stamp.update(line.encode("utf-8", "surrogateescape"))
        return stamp.hexdigest()[:16]

    def change(
        self, key: str, version: str, files: Mapping[str, str], gone: Collection[str] = ()
    ) -> None:
        """Write checked files into a catalogue; the previous state is kept.

        Raises InputError if it may not be changed, ChangedError if it was changed meanwhile.
        """
        with self._lock:
            self._must_change(key)
            if version != self.version(key):
                raise ChangedError("the catalogue was changed elsewhere meanwhile")
            change_folder(self.folder(key), files, gone)
            self._put_or_back(key)

    def _put_or_back(self, key: str) -> None:
        """Read a changed catalogue; one that cannot be read is put back as it was."""
        try:
            self._put(key, self.folder(key))
        except InputError:
            step_back(self.folder(key))
            raise

    def _must_change(self, key: str) -> None:
        self._check(key)
        if not self.may_change(key):
            raise InputError(
                "this catalogue lies with the shop and is only read here",
                field="catalogue",
                found=key,
                allowed="a copy of it; or a page that was started with leave to change catalogues",
            )

    def can_undo(self, key: str) -> bool:
        """Tell whether the last change of a catalogue can be undone."""
        return self.may_change(key) and before_of(self.folder(key).absolute()).is_dir()

    def undo(self, key: str) -> None:
        """Undo the last change of a catalogue; a second call redoes it."""
        with self._lock:
            self._must_change(key)
            step_back(self.folder(key))
            self._put_or_back(key)

    def take_off(self, key: str) -> None:
        """Remove an uploaded catalogue from the shelf; it is kept, and can be restored."""
        with self._lock:
            self._check(key)
            if self.of_start(key):
                raise InputError("the page was started with this catalogue", found=key)
            aside = before_of(self.folder(key).absolute())
            shutil.rmtree(aside, ignore_errors=True)
            self.folder(key).rename(aside)
            del self._first[key], self._families[key]
            self._changes += 1

    def taken_off(self) -> list[str]:
        """Return the keys of removed catalogues that can be restored."""
        kept = (path.name[1:].removesuffix(".before") for path in self._folder.glob(".*.before"))
        return sorted(key for key in kept if key not in self._first)

    def put_back(self, key: str) -> None:
        """Restore a removed catalogue; raises InputError if none was removed."""
        with self._lock:
            if key not in self.taken_off():
                raise InputError("there is no such catalogue to put back", found=key[:60])
            step_back(self._folder / key)
            self._put(key, self._folder / key)

    def named(self, files: Sequence[tuple[str, bytes]]) -> dict[str, bytes]:
        """Return the files of a catalogue by name; sheets of families as `families/NAME.toml`.

        Only names that a catalogue may have are kept. Raises InputError for files that are not part
        of a catalogue, and if there is no room for more.
        """
        names = [_name(name) for name, _ in files]
        for name in names:
            if not _FILE.fullmatch(name) or name in _NO_PART:
                raise InputError(
                    "this file is no part of a catalogue",
                    found=name[:60],
                    allowed="catalogue.toml with pistons.csv, rings.csv, ... (or .xlsx)",
                )
        if len(set(names)) < len(names):
            raise InputError("two files have one name", found=", ".join(sorted(names)))
        self.check_room()
        return {name: content for name, (_, content) in zip(names, files, strict=True)}

    def keep(self, files: Mapping[str, bytes], catalogue: Catalogue) -> str:
        """Keep `named` files, which were read as this catalogue, and return its key."""
        key = f"{_plain(catalogue.name)}-{secrets.token_hex(3)}"
        new = self._folder / f"{_UNDER_WAY}{key}"
        try:
            new.mkdir()
            for name, content in files.items():
                (new / name).parent.mkdir(exist_ok=True)
                (new / name).write_bytes(content)
            with self._lock:
                self.check_room()
                new.rename(self._folder / key)
                self._put(key, self._folder / key)
        except OSError as error:
            raise InputError(f"this cannot be kept ({error.strerror or error})") from error
        finally:
            shutil.rmtree(new, ignore_errors=True)
        return key

    def check_room(self) -> None:
        """Raise InputError where no more can be kept."""
        if len(self._first) >= _MOST:
            raise InputError("too many catalogues are kept", allowed=str(_MOST))
        if shutil.disk_usage(self._folder).free < _LEFT_FREE:
            raise InputError("the disk is nearly full; nothing was kept")


def _name(sent: str) -> str:
    """Return the stored name of an uploaded file."""
    path = Path(sent.replace("\\", "/").lower())
    sheet = path.suffix == ".toml" and path.name not in _HEADS
    return f"families/{path.name}" if sheet else path.name


def _plain(name: str) -> str:
    """Return a name as letters, digits and hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:40] or "catalogue"
