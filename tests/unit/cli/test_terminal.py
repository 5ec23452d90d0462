"""Terminals, pipes and shells: progress, Ctrl-C, a reader that leaves, completion."""

from __future__ import annotations

import re
import sys
from typing import Any

import pytest

from tests.signals import HEARS

from .run import LARGE, ROOT, process, shell

pexpect: Any = pytest.importorskip("pexpect")
pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="no pseudo terminal")
PUMP_JOB = "catalogs_demo/pump/job.toml"


def terminal(*args: str) -> Any:
    """Python on a pseudo terminal."""
    return pexpect.spawn(
        sys.executable,
        list(args),
        cwd=str(ROOT),
        encoding="utf-8",
        timeout=60,
        dimensions=(200, 120),
        **HEARS,
    )


def interrupted(moment: str) -> tuple[int, str]:
    """Send Ctrl-C to a long search at the moment that its progress says so."""
    child = terminal("-c", LARGE.format(cylinders=8, pistons=2000))
    child.expect(moment)
    child.sendintr()
    child.expect(pexpect.EOF)
    child.close()
    assert child.signalstatus is None
    assert "Traceback" not in child.before
    return child.exitstatus, " ".join(child.before.split())


def test_interrupted_before_a_plan_is_found() -> None:
    code, text = interrupted("settling restored")
    assert code == 130
    assert "fitsolver: interrupted; nothing was written" in text


def test_interrupted_when_a_plan_is_found() -> None:
    """The last level takes longest here: all that counts is found by then, and is shown."""
    code, text = interrupted("settling part number")
    assert code == 4
    assert re.search("best found", text, re.I)
    assert "ORDER: " in text


def test_interrupted_twice() -> None:
    child = terminal("-c", LARGE.format(cylinders=8, pistons=2000))
    child.expect("settling restored")
    child.sendintr()
    child.sendintr()
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 130
    assert "Traceback" not in child.before


def test_progress_is_for_a_terminal() -> None:
    child = terminal("-m", "fitsolver", "pick", PUMP_JOB)
    child.expect(pexpect.EOF)
    assert "settling" in child.before
    assert "\x1b[" in child.before


def test_progress_is_on_standard_error_only() -> None:
    command = f"{sys.executable} -m fitsolver pick {PUMP_JOB} --json 2>/dev/null"
    child = pexpect.spawn(
        "/bin/sh", ["-c", command], cwd=str(ROOT), encoding="utf-8", timeout=60, **HEARS
    )
    child.expect(pexpect.EOF)
    assert child.before.startswith("{")
    assert "settling" not in child.before
    assert "\x1b" not in child.before


def test_no_progress_into_a_file() -> None:
    ran = process("-m", "fitsolver", "pick", PUMP_JOB)
    assert ran.err == ""
    assert "\x1b" not in ran.out


@pytest.mark.parametrize("command", ["pick", "bore", "pick --json", "--help"])
def test_a_reader_that_leaves(command: str) -> None:
    args = command if command == "--help" else f"{command} {PUMP_JOB}"
    ran = shell(f"$FITSOLVER {args} | head -1")
    assert ran.err == ""
    assert ran.out.count("\n") == 1


def test_a_pipe_closed_from_the_start_keeps_the_exit_code() -> None:
    """The reader is gone before anything is written."""
    for job, code in ((PUMP_JOB, 0), ("catalogs_demo/pump/worn_out.toml", 3)):
        ran = shell(f"({{ $FITSOLVER pick {job}; echo $? >&2; }} | :)")
        assert ran.err == f"{code}\n"


def test_no_standard_output_at_all() -> None:
    ran = shell(f"$FITSOLVER pick {PUMP_JOB} >&-")
    assert (ran.code, ran.err) == (0, "")


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="/dev/full is Linux")
@pytest.mark.parametrize("kind", ["", "--json"])
def test_a_full_disk_behind_standard_output(kind: str) -> None:
    ran = shell(f"$FITSOLVER pick {PUMP_JOB} {kind} > /dev/full")
    assert ran.code == 2
    assert ran.err == "fitsolver: the output cannot be written (No space left on device)\n"


def test_a_screen_that_cannot_show_every_sign() -> None:
    ran = process("-m", "fitsolver", "bore", PUMP_JOB, "-u", "um", PYTHONIOENCODING="ascii")
    assert (ran.code, ran.err) == (0, "")
    assert "?m" in ran.out
    ran = process("-m", "fitsolver", "bore", PUMP_JOB, "--json", PYTHONIOENCODING="ascii")
    assert ran.out == process("-m", "fitsolver", "bore", PUMP_JOB, "--json").out


@pytest.mark.parametrize("columns", ["0", "20", "300", "many"])
def test_any_width(columns: str) -> None:
    ran = process("-m", "fitsolver", "bore", PUMP_JOB, COLUMNS=columns)
    assert (ran.code, ran.err) == (0, "")
    assert "diameter" in ran.out


@pytest.mark.parametrize(
    ("kind", "typed"),
    [
        ("bash", {"COMP_WORDS": "fitsolver {}", "COMP_CWORD": "1"}),
        ("zsh", {"_TYPER_COMPLETE_ARGS": "fitsolver {}"}),
        (
            "fish",
            {"_TYPER_COMPLETE_ARGS": "fitsolver {}", "_TYPER_COMPLETE_FISH_ACTION": "get-args"},
        ),
    ],
)
def test_completion(kind: str, typed: dict[str, str]) -> None:
    """The shell asks for commands by this variable; the script it needs comes the same way."""
    program = "import sys; sys.argv[0] = 'fitsolver'; from fitsolver.cli.app import main; main()"

    def complete(word: str) -> str:
        words = {name: value.format(word) for name, value in typed.items()}
        return process("-c", program, _FITSOLVER_COMPLETE=f"complete_{kind}", **words).out

    offered, begun = complete(""), complete("pi")
    assert all(command in offered for command in ("pick", "bore", "fits", "catalogue", "new"))
    assert "pick" in begun
    assert "bore" not in begun
    script = process("-c", program, _FITSOLVER_COMPLETE=f"source_{kind}")
    assert f"_FITSOLVER_COMPLETE=complete_{kind}" in script.out
