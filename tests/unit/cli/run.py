"""The command line run in this process or as one of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from fitsolver.cli.app import main

ROOT = Path(__file__).parents[3]
DEMOS = ROOT / "catalogs_demo"
PUMP, WORN_OUT = DEMOS / "pump" / "job.toml", DEMOS / "pump" / "worn_out.toml"
BRUSHSAW, LAUNCH = DEMOS / "brushsaw" / "job.toml", DEMOS / "launch" / "job.toml"

#: `fitsolver` whose `load` answers with a job that takes seconds: `{cylinders}`, `{pistons}`.
LARGE = """
import sys
from fitsolver.usecases import files as service
from tests.bench import large
service.load = lambda *a, **k: (large.job({cylinders}), large.catalogue({pistons}, 500, 60))
from fitsolver.cli.app import main
sys.argv = ["fitsolver", "pick", "large.toml", *sys.argv[1:]]
main()
"""


@dataclass(frozen=True)
class Ran:
    """What a run of the command line came to."""

    code: int
    out: str
    err: str


Run = Callable[..., Ran]


def runner(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Return a function that runs the command line in this process."""

    def run(*args: object) -> Ran:
        monkeypatch.setattr(sys, "argv", ["fitsolver", *map(str, args)])
        capsys.readouterr()
        with pytest.raises(SystemExit) as left:
            main()
        shown = capsys.readouterr()
        code = left.value.code
        assert isinstance(code, int) or code is None
        return Ran(code or 0, shown.out, shown.err)

    return run


def process(*args: object, input: str | None = None, **environment: str) -> Ran:
    """Run Python with these arguments in a process of its own, from the root of the checkout."""
    done = subprocess.run(
        [sys.executable, *map(str, args)],
        input=input,
        stdin=subprocess.DEVNULL if input is None else None,
        capture_output=True,
        encoding="utf-8",
        cwd=ROOT,
        env={**os.environ, **environment},
        timeout=120,
        check=False,
    )
    return Ran(done.returncode, done.stdout, done.stderr)


def shell(command: str, **environment: str) -> Ran:
    """Run a line of shell in which `$FITSOLVER` is the command."""
    done = subprocess.run(
        ["/bin/sh", "-c", command],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        encoding="utf-8",
        cwd=ROOT,
        env={**os.environ, "FITSOLVER": f"{sys.executable} -m fitsolver", **environment},
        timeout=120,
        check=False,
    )
    return Ran(done.returncode, done.stdout, done.stderr)


def content(folder: Path) -> dict[str, bytes | None]:
    """Return every path below a folder, with the bytes of the files."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        if path.is_file() and path.stat().st_size < 1_000_000
        else None
        for path in folder.rglob("*")
    }
