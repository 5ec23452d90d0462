"""Bytes and text of a file, or one clear message: size, kind, permission, encoding."""

from __future__ import annotations

import stat
from pathlib import Path
from typing import Final

from fitsolver.base.errors import InputError

#: A larger file is refused before it is read (bytes): no sheet of this trade comes near it.
LARGEST: Final = 20_000_000
_MEGABYTE: Final = 1_000_000


def read_bytes(path: Path) -> bytes:
    """Return the content of a plain file of at most 20 MB that is not empty.

    Raises InputError when it is not there, no plain file, too large, empty or not readable.
    """
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise InputError("this is a folder", file=str(path), allowed="a file")
        if not stat.S_ISREG(status.st_mode):
            raise InputError("this is not a plain file", file=str(path), allowed="a file")
        if status.st_size > LARGEST:
            raise too_large(path, status.st_size)
        with path.open("rb") as stream:  # bounded: a file may grow between look and read
            content = stream.read(LARGEST + 1)
    except (OSError, ValueError) as error:
        raise unreadable(path, error, "file") from error
    if len(content) > LARGEST:
        raise too_large(path, len(content))
    if not content.strip():
        raise InputError("the file is empty", file=str(path))
    return content


def read_text(path: Path) -> str:
    """Return the text of a UTF-8 file, with or without byte order mark, lines ending in LF."""
    content = read_bytes(path)
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(
            f"this is not UTF-8 text (byte {error.start + 1} cannot be read)",
            file=str(path),
            allowed="text saved as UTF-8 ('CSV UTF-8' in spreadsheets)",
        ) from error
    if "\0" in text:
        raise InputError("this is not a text file", file=str(path), allowed="text saved as UTF-8")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def list_folder(folder: Path) -> list[Path]:
    """Return the files of a folder by name; InputError when it is none or cannot be read."""
    try:
        if not folder.exists():
            raise InputError("there is no such folder", file=str(folder))
        if not folder.is_dir():
            raise InputError("this is a file", file=str(folder), allowed="a folder")
        return sorted(path for path in folder.iterdir() if not path.is_dir())
    except (OSError, ValueError) as error:
        raise unreadable(folder, error, "folder") from error


def too_large(path: Path, size: int, most: int = LARGEST) -> InputError:
    """Return the refusal of a file by its size in bytes."""
    limit = most // _MEGABYTE
    return InputError(
        "the file is too large",
        file=str(path),
        found=f"{size / _MEGABYTE:.1f} MB",
        allowed=f"at most {limit} MB",
    )


def unreadable(path: Path, error: Exception, what: str) -> InputError:
    """Return the refusal that an operating system error means."""
    if isinstance(error, FileNotFoundError):
        message = f"there is no such {what}"
    elif isinstance(error, PermissionError):
        message = f"no permission to read this {what}"
    elif isinstance(error, NotADirectoryError):
        message = "a part of this path is a file, not a folder"
    else:
        message = f"this {what} cannot be read ({getattr(error, 'strerror', None) or error})"
    return InputError(message, file=str(path))
