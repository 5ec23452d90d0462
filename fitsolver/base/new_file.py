"""New files: nothing is ever overwritten, and a failed write leaves nothing behind."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from fitsolver.base.errors import InputError


def check_new(path: Path) -> None:
    """Raise InputError when `path` cannot become a new file: before any work is done for it."""
    try:
        if path.is_symlink() or path.exists():
            what = "folder" if path.is_dir() else "file"
            raise InputError(f"this {what} exists already", file=str(path), allowed="a new file")
        folder = path.parent
        if not folder.exists():
            raise InputError("there is no such folder", file=str(folder))
        if not folder.is_dir():
            raise InputError("this is a file", file=str(folder), allowed="a folder")
        if not os.access(folder, os.W_OK | os.X_OK):
            raise InputError("no permission to write in this folder", file=str(folder))
    except (OSError, ValueError) as error:
        raise _unwritable(path, error) from error


def check_new_table(path: Path, kinds: Sequence[str]) -> None:
    """Raise InputError when a table cannot be written to `path`: it exists, or has another kind."""
    check_new(path)
    if path.suffix.lower() not in kinds:
        raise InputError(
            "no such table can be written",
            file=str(path),
            found=path.suffix or "no ending",
            allowed=", ".join(kinds),
        )


@contextmanager
def becoming(path: Path) -> Iterator[Path]:
    """Give a place beside a new file to write to; it becomes the file when all went well.

    Whatever ends the program earlier, there is no file of that name. Raises InputError when
    there is one already.
    """
    check_new(path)
    work = path.with_name(f".{path.name[:80]}.{secrets.token_hex(4)}.part")
    try:
        yield work
        try:
            os.link(work, path)  # never over a file that came meanwhile
        except FileExistsError as error:
            raise InputError("this file exists already", file=str(path)) from error
        except OSError:  # a file system without links
            check_new(path)
            work.rename(path)
    finally:
        work.unlink(missing_ok=True)


def write_new(path: Path, text: str | bytes) -> None:
    """Write a new file: text as UTF-8, bytes as they are.

    Raises InputError when there is one already, and when it cannot be written.
    """
    check_new(path)
    try:
        content = text.encode("utf-8") if isinstance(text, str) else text
        with becoming(path) as work:
            work.write_bytes(content)
    except (OSError, ValueError) as error:
        raise _unwritable(path, error) from error


def _unwritable(path: Path, error: Exception) -> InputError:
    reason = getattr(error, "strerror", None) or error
    return InputError(f"this file cannot be written ({reason})", file=str(path))
