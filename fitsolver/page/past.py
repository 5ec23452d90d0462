"""The earlier versions of one job, a file each in a folder of its own."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from fitsolver.base.errors import InputError

#: Most earlier versions kept of a job, and most characters of all of them.
_MOST: Final = 60
_MOST_TEXT: Final = 1_000_000
_OF_ONE: Final = ".past"


class Past:
    """The earlier versions of a job, the last one first."""

    def __init__(self, job: Path) -> None:
        self._job, self._folder = job, job.with_suffix(_OF_ONE)

    def file(self, version: str) -> Path:
        """Return where a version lies, if it is kept."""
        return self._folder / version

    def files(self) -> list[Path]:
        """Return the versions that are kept, the last one first."""
        files = self._folder.iterdir() if self._folder.is_dir() else ()
        return sorted(files, key=lambda path: path.stat().st_mtime_ns, reverse=True)

    @contextmanager
    def keeping(self, version: str) -> Iterator[None]:
        """Keep the job's present version while a new text replaces it on the disk.

        If the replacement fails, nothing is kept.
        """
        kept = self.file(version)
        try:
            self._folder.mkdir(exist_ok=True)
            kept.unlink(missing_ok=True)
            try:
                os.link(self._job, kept)  # nothing is written: it lies on the disk already
            except OSError:  # a disk on which no file has two names
                kept.write_bytes(self._job.read_bytes())
        except OSError as error:
            raise InputError(f"this cannot be kept ({error.strerror or error})") from error
        try:
            yield
        except InputError:
            kept.unlink(missing_ok=True)
            with suppress(OSError):  # there are others
                self._folder.rmdir()
            raise
        self._forget()

    def _forget(self) -> None:
        room = _MOST_TEXT
        for place, file in enumerate(self.files()):
            room -= file.stat().st_size
            if place >= _MOST or (place and room < 0):
                file.unlink(missing_ok=True)


def moved_in(folder: Path) -> None:
    """Move versions of an earlier program, which lie beside the jobs, into their own folders."""
    for path in folder.glob(f"*.*{_OF_ONE}"):
        if path.name.count(".") != 2:
            continue
        key, version, _ = path.name.split(".")
        within = folder / f"{key}{_OF_ONE}"
        within.mkdir(exist_ok=True)
        path.replace(within / version)
