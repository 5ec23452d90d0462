"""Bytes and text of a file, or one clear message: size, kind, permission, encoding."""

from __future__ import annotations

import stat
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Final

from fitsolver.base.errors import InputError

#: A larger file is refused before it is read (bytes): no sheet of this trade comes near it.
LARGEST: Final = 20_000_000
_MEGABYTE: Final = 1_000_000


@dataclass(frozen=True)
class MemoryFile:
    """A file in memory: its name in messages, and its bytes."""

    name: str
    content: bytes

    @property
    def suffix(self) -> str:
        """The suffix of the name, with its point."""
        return PurePosixPath(self.name).suffix

    @property
    def stem(self) -> str:
        """The name without its suffix."""
        return PurePosixPath(self.name).stem

    def __str__(self) -> str:
        return self.name


@dataclass(frozen=True)
class MemoryFolder:
    """Files that are held in memory, by name, as if they lay in one folder."""

    name: str
    files: Mapping[str, bytes]

    def __truediv__(self, name: str) -> MemoryFile:
        if name not in self.files:
            raise InputError("there is no such file", file=name)
        return MemoryFile(name, self.files[name])

    def __str__(self) -> str:
        return self.name


@dataclass(frozen=True)
class SheetFile(MemoryFile):
    """One sheet of a workbook, as if it were a workbook of its own: its filled rows, numbered.

    `name` is the file's name in messages, `title` the title of the sheet.
    """

    title: str = ""
    rows: tuple[tuple[int, tuple[str, ...]], ...] = ()

    @property
    def suffix(self) -> str:
        """That of a workbook."""
        return ".xlsx"

    @property
    def stem(self) -> str:
        """The title, as a file of its own would be named."""
        return self.title


@dataclass(frozen=True)
class Workbook:
    """The sheets of a workbook by name in small letters, as if they lay in one folder."""

    name: str
    sheets: Mapping[str, SheetFile]

    def __str__(self) -> str:
        return self.name


File = Path | MemoryFile
Folder = Path | MemoryFolder
#: Where a catalogue may stand.
Parts = Folder | Workbook


def read_bytes(path: File) -> bytes:
    """Return the content of a plain file of at most 20 MB that is not empty.

    Raises InputError when it is not there, no plain file, too large, empty or not readable.
    """
    content = path.content if isinstance(path, MemoryFile) else _on_the_disk(path)
    if len(content) > LARGEST:
        raise too_large(path, len(content))
    if not content.strip():
        raise InputError("the file is empty", file=str(path))
    return content


def _on_the_disk(path: Path) -> bytes:
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise InputError("this is a folder", file=str(path), allowed="a file")
        if not stat.S_ISREG(status.st_mode):
            raise InputError("this is not a plain file", file=str(path), allowed="a file")
        if status.st_size > LARGEST:
            raise too_large(path, status.st_size)
        with path.open("rb") as stream:  # bounded: a file may grow between look and read
            return stream.read(LARGEST + 1)
    except (OSError, ValueError) as error:
        raise unreadable(path, error, "file") from error


#: Byte order marks of UTF-16.
_UTF16: Final = (b"\xff\xfe", b"\xfe\xff")


def read_text(path: File, *, utf16: bool = False) -> str:
    """Return the text of a UTF-8 file, with or without byte order mark, lines ending in LF.

    With `utf16` also of one that has its mark, as a spreadsheet's 'Unicode text'.
    """
    content = read_bytes(path)
    coded = "utf-16" if utf16 and content.startswith(_UTF16) else "utf-8-sig"
    try:
        text = content.decode(coded)
    except UnicodeDecodeError as error:
        raise InputError(
            f"this is not UTF-8 text (byte {error.start + 1} cannot be read)",
            file=str(path),
            allowed="text saved as UTF-8 ('CSV UTF-8' in spreadsheets)",
        ) from error
    if "\0" in text:
        raise InputError("this is not a text file", file=str(path), allowed="text saved as UTF-8")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def files_of(folder: Parts) -> dict[str, File]:
    """Return the files of a folder by their names in small letters; see `list_folder`."""
    if isinstance(folder, Workbook):
        return {f"{title}.xlsx": sheet for title, sheet in folder.sheets.items()}
    if isinstance(folder, MemoryFolder):
        return {name.lower(): folder / name for name in sorted(folder.files)}
    return {path.name.lower(): path for path in list_folder(folder)}


def list_folder(folder: Path) -> list[Path]:
    """Return the files of a folder by name; InputError if it is not one or is unreadable."""
    try:
        if not folder.exists():
            raise InputError("there is no such folder", file=str(folder))
        if not folder.is_dir():
            raise InputError("this is a file", file=str(folder), allowed="a folder")
        return sorted(path for path in folder.iterdir() if not path.is_dir())
    except (OSError, ValueError) as error:
        raise unreadable(folder, error, "folder") from error


def too_large(path: File, size: int, most: int = LARGEST) -> InputError:
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
