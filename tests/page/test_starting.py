"""How a page is started: the demos are there, a second start is told, an entry for the desktop."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
import zipfile
from pathlib import Path

import httpx
import pytest

from fitsolver.page import starting
from fitsolver.page.settings import Settings
from tests.unit.cli.run import process

from .serving import ROOT, served


def test_the_demos_are_there_without_a_catalogue_named(tmp_path: Path) -> None:
    with served(tmp_path) as address:
        keys = {item["key"] for item in httpx.get(f"{address}/api/catalogues").json()}
        assert keys >= {"pump", "launch", "brushsaw"}


def test_a_second_start_is_told_of_the_first(tmp_path: Path) -> None:
    with served(tmp_path / "first") as address:
        port = address.rpartition(":")[2]
        again = process(
            "-m", "fitsolver", "page", "--port", port, "--data", str(tmp_path / "second")
        )
    assert again.code == 2
    assert "a fitsolver page runs here already" in again.err and "--port" in again.err


def test_a_port_that_another_program_has(tmp_path: Path) -> None:
    code = (
        "import http.server as h; s = h.HTTPServer(('127.0.0.1', 0), h.SimpleHTTPRequestHandler);"
        "print(s.server_port, flush=True); s.serve_forever()"
    )
    other = subprocess.Popen(
        [sys.executable, "-c", code],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        cwd=tmp_path,
    )
    try:
        assert other.stdout is not None
        port = other.stdout.readline().strip()
        told = process("-m", "fitsolver", "page", "--port", port, "--data", str(tmp_path / "data"))
    finally:
        other.kill()
        other.wait()
    assert told.code == 2 and "cannot be listened on" in told.err


def test_no_browser_is_opened_where_nobody_sits(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DISPLAY", ":0")
    assert not starting.may_open_browser(Settings(data=ROOT))  # no terminal here
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True)
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    monkeypatch.setattr(sys, "platform", "linux")
    assert starting.may_open_browser(Settings(data=ROOT))
    assert not starting.may_open_browser(Settings(data=ROOT, host="192.0.2.1"))
    monkeypatch.delenv("DISPLAY")
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    assert not starting.may_open_browser(Settings(data=ROOT))


def test_a_shortcut_is_written_once(tmp_path: Path) -> None:
    asked = ("-m", "fitsolver", "page", "--shortcut", "--catalogue", "catalogs_demo/pump")
    done = process(*asked, XDG_DATA_HOME=str(tmp_path))
    assert done.code == 0
    path = tmp_path / "applications" / "fitsolver.desktop"
    text = path.read_text(encoding="utf-8")
    line = next(line for line in text.splitlines() if line.startswith("Exec="))
    words = shlex.split(line.removeprefix("Exec="))
    assert words[1:4] == ["-m", "fitsolver", "page"]
    assert words[4:6] == ["--catalogue", str(ROOT / "catalogs_demo" / "pump")]
    again = process(*asked, XDG_DATA_HOME=str(tmp_path))
    assert again.code == 2 and "exists already" in again.err
    assert path.read_text(encoding="utf-8") == text


def test_one_file_that_carries_everything_starts_itself(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "fitsolver.pyz"
    with zipfile.ZipFile(file, "w") as carried:
        carried.writestr("__main__.py", "")
    monkeypatch.setattr(sys, "argv", [str(file), "page", "--shortcut"])
    assert starting._program() == [sys.executable, str(file)]


@pytest.mark.parametrize("word", ["/a b/c", 'say "x"', "50% $HOME `x`", "back\\slash"])
def test_words_of_an_entry_come_back(word: str) -> None:
    """Desktop Entry specification 1.5: string escapes are undone, then the quoting, then `%%`."""
    quoted = starting._quoted(word)
    inside = quoted.replace("\\\\", "\\")[1:-1]
    assert re.sub(r"\\(.)", r"\1", inside).replace("%%", "%") == word


@pytest.mark.parametrize(("platform", "name"), [("win32", ".cmd"), ("darwin", ".command")])
def test_entries_of_other_systems(platform: str, name: str) -> None:
    path, text = starting._entry(["/usr/bin/python 3", "-m", "fitsolver", "page"], platform)
    assert path.name == f"fitsolver{name}" and "/usr/bin/python 3" in text
