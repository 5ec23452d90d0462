"""What happens around the start of a page: a browser opened, a page that runs already found, an
entry for the desktop."""

from __future__ import annotations

import os
import shlex
import sys
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from typing import Final
from zipfile import is_zipfile

from fitsolver.base.errors import InputError
from fitsolver.base.new_file import write_new
from fitsolver.page.settings import Settings, is_loopback

#: A header of every answer, by which a second start knows the first.
SERVED_BY: Final = ("x-served-by", "fitsolver")
#: Seconds that a page which runs already may take to answer.
_PATIENCE: Final = 2.0


def may_open_browser(settings: Settings) -> bool:
    """Tell whether a user sits at this machine: it has a terminal and a screen."""
    screen = sys.platform in ("darwin", "win32") or any(
        os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY")
    )
    return screen and is_loopback(settings.host) and sys.stdin.isatty() and sys.stderr.isatty()


def runs_already(settings: Settings) -> bool:
    """Tell whether a fitsolver page answers at the address that was asked for."""
    asked = HTTPConnection(settings.host, settings.port, timeout=_PATIENCE)
    try:
        asked.request("GET", "/", headers={"host": "localhost"})
        return asked.getresponse().getheader(SERVED_BY[0]) == SERVED_BY[1]
    except (OSError, HTTPException):
        return False
    finally:
        asked.close()


def write_shortcut(arguments: list[str]) -> Path:
    """Write an entry that starts the page from the desktop, and return where it lies.

    Linux: a Desktop Entry (freedesktop.org specification) among the user's applications; macOS and
    Windows: a script on the desktop. Raises InputError where there is one already.
    """
    command = [*_program(), "page", *arguments]
    path, text = _entry(command, sys.platform)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(f"no folder for it ({error.strerror})", file=str(path.parent)) from error
    write_new(path, text)
    if sys.platform == "darwin":
        path.chmod(0o755)
    return path


def _program() -> list[str]:
    """Return the command words that start this program, also when it is a single file."""
    file = Path(sys.argv[0]).resolve()
    return [sys.executable, *([str(file)] if is_zipfile(file) else ["-m", "fitsolver"])]


def _entry(command: list[str], platform: str) -> tuple[Path, str]:
    """Return the path and the text of an entry on a platform (named as in `sys.platform`)."""
    from platformdirs import user_data_path, user_desktop_path

    if platform == "win32":
        words = " ".join(f'"{word}"' for word in command)
        return user_desktop_path() / "fitsolver.cmd", f"@echo off\r\n{words}\r\n"
    if platform == "darwin":
        return user_desktop_path() / "fitsolver.command", f"#!/bin/sh\nexec {shlex.join(command)}\n"
    lines = [
        "[Desktop Entry]",
        "Type=Application",
        "Name=fitsolver",
        "Comment=Which piston, rings and gaskets, finished to which bore",
        f"Exec={' '.join(map(_quoted, command))}",
        "Terminal=true",
        "Categories=Engineering;",
    ]
    folder = user_data_path() / "applications"
    return folder / "fitsolver.desktop", "\n".join(lines) + "\n"


def _quoted(word: str) -> str:
    """Return a word as the Desktop Entry specification quotes it, its field codes escaped."""
    escaped = word.replace("\\", "\\\\")
    for mark in ('"', "`", "$"):
        escaped = escaped.replace(mark, f"\\{mark}")
    return '"' + escaped.replace("\\", "\\\\").replace("%", "%%") + '"'
