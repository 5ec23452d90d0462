"""Jobs being worked on: one text file each, under a name that the page gives.

A draft may be unfinished, so it is kept as typed. Every change names the version it was made from.
If two tablets change one job, the page tells the later one, and no change is lost.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import os
import re
import secrets
import shutil
import time
from dataclasses import dataclass
from pathlib import Path
from threading import RLock
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.page.past import Past, moved_in

_NAME: Final = re.compile(r"[0-9a-f]{16}")
_MOST: Final = 2000
_LARGEST: Final = 1_000_000
_WEEK: Final = 7 * 86_400
_UNDER_WAY: Final = ".new-"


class NoDraftError(InputError):
    """There is no such job."""


class ChangedError(InputError):
    """The job was changed elsewhere meanwhile."""


@dataclass(frozen=True)
class Draft:
    """One job as typed, and the version of that text."""

    key: str
    text: str

    @property
    def version(self) -> str:
        return hashlib.sha256(self.text.encode()).hexdigest()[:16]


class Drafts:
    """The folder of jobs. Every write is atomic, and on the disk when it returns."""

    def __init__(self, folder: Path) -> None:
        self._folder, self.lock = folder, RLock()
        folder.mkdir(parents=True, exist_ok=True)
        for path in folder.glob(f"{_UNDER_WAY}*"):  # of a page that was killed while it wrote
            path.unlink(missing_ok=True)
        moved_in(folder)

    def new(self, text: str) -> Draft:
        """Keep a new job. Raises InputError when there are too many, or it is too long."""
        with self.lock:
            if len(self.keys()) >= _MOST:
                raise InputError("too many jobs are kept", allowed=f"{_MOST}; remove some first")
            key = secrets.token_hex(8)
            self._write(self._path(key), text)
        return Draft(key, text)

    def read(self, key: str) -> Draft:
        """Return a job; raises NoDraftError for an unknown key."""
        return self._read(self._path(key))

    def read_removed(self, key: str) -> Draft:
        """Return a removed job that can be restored; raises NoDraftError for an unknown key."""
        return self._read(self._removed / self._path(key).name)

    def _read(self, path: Path) -> Draft:
        try:
            return Draft(path.stem, path.read_text(encoding="utf-8"))
        except FileNotFoundError as error:
            raise NoDraftError("there is no such job; it may have been removed") from error
        except (OSError, UnicodeDecodeError) as error:
            raise InputError(f"the file of this job cannot be read ({error})") from error

    def change(self, key: str, text: str, version: str) -> Draft:
        """Put a text in place of the version it was made from.

        Raises ChangedError if the job has another text by now.
        """
        with self.lock:
            now = self.read(key)
            if now.text != text and now.version != version:
                raise ChangedError(
                    "this job was changed in another window meanwhile; that change is kept. "
                    "Load the job again, and enter yours once more"
                )
            if now.text != text:
                with self._past(key).keeping(now.version):
                    self._write(self._path(key), text)
        return Draft(key, text)

    def past(self, key: str, version: str) -> str | None:
        """Return the text of a job's version; None if that version is no longer kept."""
        now = self.read(key)
        if now.version == version:
            return now.text
        path = self._past(key).file(version)
        known = _NAME.fullmatch(version) and path.exists()
        return self._read(path).text if known else None

    def undo(self, key: str) -> Draft:
        """Restore the previous version of a job; raises InputError if none is kept."""
        with self.lock:
            self.read(key)
            earlier = self._past(key).files()
            if not earlier:
                raise InputError("there is nothing to take back")
            text = self._read(earlier[0]).text
            self._write(self._path(key), text)
            earlier[0].unlink(missing_ok=True)
        return Draft(key, text)

    def can_undo(self, key: str) -> bool:
        """Tell whether there is a version before."""
        return bool(self._past(key).files())

    def order(self, key: str, document: str) -> None:
        """Keep the document of the plan behind the order, in place of an earlier one."""
        with self.lock:
            self.read(key)
            self._write(self._ordered(key), document)

    def ordered(self, key: str) -> str | None:
        """Return the document of the plan behind the order; None if none is kept."""
        try:
            return self._ordered(key).read_text(encoding="utf-8")
        except FileNotFoundError:
            return None

    def ticks(self, key: str) -> frozenset[str]:
        """Return the stages of a job that are ticked off, by the names that the page gave them."""
        try:
            return frozenset(self._ticked(key).read_text(encoding="utf-8").splitlines())
        except FileNotFoundError:
            return frozenset()

    def tick(self, key: str, stage: str, *, done: bool) -> None:
        """Tick a stage of a job off, or take that back."""
        with self.lock:
            self.read(key)
            rest = self.ticks(key) - {stage}
            found = sorted(rest | {stage} if done else rest)
            self._write(self._ticked(key), "".join(f"{name}\n" for name in found))

    def passes(self, key: str) -> int:
        """Return how many entries the log of a job has."""
        try:
            lines = self.log(key).read_bytes().splitlines()
        except OSError:
            return 0
        return sum(1 for line in lines if line.strip() and not line.startswith(b"#"))

    def check(self, key: str, verdict: str) -> None:
        """Keep the verdict of the final check on a job as it is now."""
        if self.checked(key) != verdict:
            self._write(self._checked(key), f"{self._standing(key)} {verdict}")

    def checked(self, key: str) -> str:
        """Return the verdict of the last final check; empty if the job has changed since."""
        try:
            text = self._checked(key).read_text(encoding="utf-8")
        except FileNotFoundError:
            return ""
        standing, _, verdict = text.partition(" ")
        return verdict if standing == self._standing(key) else ""

    def _standing(self, key: str) -> str:
        """Return the state that a final check covers: the job, its passes and its order."""
        found = hashlib.sha256()
        for path in (self._path(key), self.log(key), self._ordered(key)):
            found.update(path.read_bytes() if path.exists() else b"-")
            found.update(b"\0")
        return found.hexdigest()[:16]

    def is_there(self, key: str) -> bool:
        """Tell whether a job is on the bench."""
        return self._path(key).exists()

    def when_changed(self, key: str) -> dt.datetime:
        """Return when a job, its passes or its stages were changed last, in local time."""
        paths = (self._path(key), self.log(key), self._ordered(key), self._ticked(key))
        return _last(*paths)

    def when_removed(self, key: str) -> dt.datetime:
        """Return when a job was taken off the bench, in local time."""
        return _last(self._removed / self._path(key).name)

    def remove(self, key: str) -> None:
        """Remove a job with its log and its order; it can be restored for a week.

        Raises NoDraftError for an unknown key.
        """
        with self.lock:
            path = self._path(key)
            if not path.exists():
                raise NoDraftError("there is no such job; it may have been removed")
            try:
                self._removed.mkdir(exist_ok=True)
                # The log and the order first: a job without them would be another one.
                for other in sorted(self._folder.glob(f"{key}.*"), key=lambda p: p == path):
                    _delete(self._removed / other.name)
                    other.replace(self._removed / other.name)
                os.utime(self._removed / path.name)  # the week begins now
            except OSError as error:
                raise InputError(f"this cannot be removed ({error.strerror or error})") from error
            self._forget()

    def removed(self) -> list[str]:
        """Return the keys of the jobs that can be restored, the last one removed first."""
        with self.lock:
            self._forget()
            files = [p for p in self._removed.glob("*.toml") if _NAME.fullmatch(p.stem)]
            files.sort(key=lambda p: p.stat().st_mtime_ns, reverse=True)
            return [path.stem for path in files]

    def give_back(self, key: str) -> None:
        """Put a removed job back on the bench, with its log and its order.

        Raises NoDraftError when its week is over, InputError when there are too many.
        """
        with self.lock:
            self._forget()
            name = self._path(key).name
            if not (self._removed / name).exists():
                raise NoDraftError("there is no such job; its week may be over")
            if len(self.keys()) >= _MOST:
                raise InputError("too many jobs are kept", allowed=f"{_MOST}; remove some first")
            for path in sorted(self._removed.glob(f"{key}.*"), key=lambda p: p.name == name):
                path.replace(self._folder / path.name)

    @property
    def _removed(self) -> Path:
        return self._folder / "removed"

    def _forget(self) -> None:
        """Delete for good the jobs removed more than a week ago, and the oldest if there are too
        many.
        """
        files = sorted(self._removed.glob("*.toml"), key=lambda p: p.stat().st_mtime, reverse=True)
        for place, path in enumerate(files):
            if place >= _MOST or time.time() - path.stat().st_mtime > _WEEK:
                for other in self._removed.glob(f"{path.stem}.*"):
                    _delete(other)

    def keys(self) -> list[str]:
        """Return the keys of all jobs, the one changed last first."""
        files = [path for path in self._folder.glob("*.toml") if _NAME.fullmatch(path.stem)]
        return [p.stem for p in sorted(files, key=lambda p: p.stat().st_mtime_ns, reverse=True)]

    def log(self, key: str) -> Path:
        """Return where the log of passes of a job is kept."""
        return self._path(key).with_suffix(".hone")

    def _past(self, key: str) -> Past:
        return Past(self._path(key))

    def _ordered(self, key: str) -> Path:
        return self._path(key).with_suffix(".ordered")

    def _checked(self, key: str) -> Path:
        return self._path(key).with_suffix(".checked")

    def _ticked(self, key: str) -> Path:
        return self._path(key).with_suffix(".stages")

    def _path(self, key: str) -> Path:
        if not _NAME.fullmatch(key):
            raise NoDraftError("there is no such job")
        return self._folder / f"{key}.toml"

    def _write(self, path: Path, text: str) -> None:
        if len(text) > _LARGEST:
            raise InputError("the job is too long", allowed=f"{_LARGEST} characters")
        work = self._folder / f"{_UNDER_WAY}{secrets.token_hex(8)}"
        try:
            with work.open("xb") as file:
                file.write(text.encode("utf-8"))
                file.flush()
                os.fsync(file.fileno())
            work.replace(path)
        except OSError as error:
            work.unlink(missing_ok=True)
            raise InputError(f"this cannot be kept ({error.strerror or error})") from error


def _delete(path: Path) -> None:
    if path.is_dir():
        shutil.rmtree(path, ignore_errors=True)
    else:
        path.unlink(missing_ok=True)


def _last(*paths: Path) -> dt.datetime:
    """Return when the last of some files was written; those that are not there do not count."""
    times = [path.stat().st_mtime for path in paths if path.exists()]
    return dt.datetime.fromtimestamp(max(times, default=0)).astimezone()
