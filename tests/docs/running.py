"""Runs what a page shows, in a temporary copy of the demo folders."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.docs.pages import ROOT, Block, blocks, commands

MARK = "end of this output 7c1f"
#: Exit codes of a command that did what it is for: a plan, nothing fits, not proven.
ANSWERED = (0, 3, 4)
#: `fitsolver pick JOB` tells how a command is built; there is nothing to run.
PLACEHOLDER = re.compile(r"(?<![\w-])[A-Z]{3,}(?![\w.])")
SECONDS = 120


@dataclass(frozen=True)
class Shown:
    """What a page shows from line `first` up to `last`, and what came out when it was run."""

    what: str
    expected: tuple[str, ...]
    actual: tuple[str, ...]
    first: int
    last: int


def run_page(text: str, folder: Path) -> Iterator[Shown]:
    """Run a page from top to bottom in `folder`; files it names are written as they come."""
    shutil.copytree(ROOT / "catalogs_demo", folder / "catalogs_demo")
    printed: tuple[int, tuple[str, ...]] | None = None
    for block in blocks(text):
        if block.file:
            file = folder / block.file
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(block.text, encoding="utf-8")
        elif block.kind == "console":
            yield from _console(block, folder)
        elif block.bare_commands:
            _bare(block, folder)
        elif block.kind == "python":
            printed = (block.last, _python(block, folder))
        elif block.kind == "text" and printed and block.follows == printed[0]:
            yield Shown("python", block.lines, printed[1], block.first, block.last)


def _console(block: Block, folder: Path) -> Iterator[Shown]:
    """Run the commands of one block in one shell, so that `$?` and `cd` mean what they say."""
    asked = commands(block)
    script = "".join(
        f"{command.text}\n_code=$?; printf '%s\\n' '{MARK}'; (exit $_code)\n" for command in asked
    )
    done = _run(["sh", "-c", script], folder)
    outputs = done.stdout.split(f"{MARK}\n")
    if len(outputs) != len(asked) + 1:
        raise AssertionError(f"line {block.first}: the shell stopped early:\n{done.stdout}")
    if "Traceback (most recent call last)" in done.stdout:  # never what a page should show
        raise AssertionError(f"line {block.first}: a traceback:\n{done.stdout}")
    for command, output in zip(asked, outputs, strict=False):
        yield Shown(command.text, command.output, _lines(output), command.first, command.last)


def _bare(block: Block, folder: Path) -> None:
    """Run each command as if it were the only one: they are alternatives, not a sequence."""
    for line in block.lines:
        if PLACEHOLDER.search(line):
            continue
        with TemporaryDirectory() as own:
            copy = shutil.copytree(folder, Path(own) / "copy")
            done = _run(["sh", "-c", line], copy)
        if done.returncode not in ANSWERED:
            raise AssertionError(f"line {block.first}: '{line}' was refused:\n{done.stdout}")


def _python(block: Block, folder: Path) -> tuple[str, ...]:
    done = _run([sys.executable, "-c", block.text], folder)
    if done.returncode != 0:
        raise AssertionError(f"line {block.first}: the script failed:\n{done.stdout}")
    return _lines(done.stdout)


def _run(command: list[str], folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        command,
        cwd=folder,
        env=_surroundings(),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        timeout=SECONDS,
        check=False,
    )


def _surroundings() -> dict[str, str]:
    """A plain terminal of 80 columns where `fitsolver` and `python` are those under test."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith("PYTHON")}
    kept.pop("FORCE_COLOR", None)
    here = str(Path(sys.executable).parent)
    return kept | {
        "PATH": here + os.pathsep + kept.get("PATH", ""),
        "COLUMNS": "80",
        "LINES": "40",
        "NO_COLOR": "1",
        "TERM": "dumb",
        "LC_ALL": "C.UTF-8",
        "PYTHONUTF8": "1",
    }


def _lines(output: str) -> tuple[str, ...]:
    """Lines as they can stand on a page: without blanks at line ends or empty lines at the end."""
    return tuple(line.rstrip() for line in output.rstrip().splitlines())
