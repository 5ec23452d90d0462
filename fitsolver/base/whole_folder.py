"""A folder changed whole or not at all, with the state before kept for one step back."""

from __future__ import annotations

import secrets
import shutil
from collections.abc import Collection, Mapping
from pathlib import Path

from fitsolver.base.errors import InputError

#: Ends the name of the folder that holds the state before.
BEFORE = ".before"
#: The file that alone stands in it where there was no folder before.
ABSENT = ".absent"


def before_of(folder: Path) -> Path:
    """Return where the state before of a folder is kept: beside it, hidden."""
    return folder.with_name(f".{folder.name}{BEFORE}")


def change_folder(folder: Path, files: Mapping[str, str], gone: Collection[str] = ()) -> None:
    """Write files (by their paths within it) into a folder, and take others out.

    The folder is made anew beside the old one and takes its place in one step; the old one stays
    as the state before. Raises InputError where that cannot be written; nothing is changed then.
    """
    folder = folder.absolute()
    if folder.exists() and not folder.is_dir():
        raise InputError("this is a file", file=str(folder), allowed="a folder")
    work = folder.with_name(f".{folder.name}.{secrets.token_hex(4)}.part")
    try:
        if folder.is_dir():
            shutil.copytree(folder, work)
        else:
            folder.parent.mkdir(parents=True, exist_ok=True)
            work.mkdir()
        for name in gone:
            (work / name).unlink(missing_ok=True)
        for name, text in files.items():
            path = work / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        _put(work, folder)
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError(f"this folder cannot be changed ({reason})", file=str(folder)) from error
    finally:
        shutil.rmtree(work, ignore_errors=True)


def _put(work: Path, folder: Path) -> None:
    """Put a folder in the place of another; the other becomes the state before."""
    before = before_of(folder)
    if not folder.exists():
        work.rename(folder)
        _mark_absent(before)
        return
    aside = before.with_name(f"{before.name}.{secrets.token_hex(4)}")
    if before.exists():
        before.rename(aside)
    folder.rename(before)
    try:
        work.rename(folder)
    except OSError:
        before.rename(folder)
        if aside.exists():
            aside.rename(before)
        raise
    shutil.rmtree(aside, ignore_errors=True)


def _mark_absent(before: Path) -> None:
    """Keep that there was no folder before."""
    shutil.rmtree(before, ignore_errors=True)
    before.mkdir()
    (before / ABSENT).touch()


def step_back(folder: Path) -> None:
    """Put back the state before of a folder; what it was now becomes the state before.

    Where there was no folder it is taken away again. Raises InputError where none is kept.
    """
    typed, folder = folder, folder.absolute()
    before = before_of(folder)
    if not before.is_dir():
        raise InputError("no earlier state of this folder is kept", file=str(typed))
    aside = folder.with_name(f".{folder.name}.{secrets.token_hex(4)}.part")
    try:
        if folder.exists():
            folder.rename(aside)
        if (before / ABSENT).exists():
            shutil.rmtree(before)
        else:
            before.rename(folder)
        if aside.exists():
            aside.rename(before)
        else:
            _mark_absent(before)
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError(f"this folder cannot be changed ({reason})", file=str(folder)) from error
