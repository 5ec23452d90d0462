"""Ended early or out of room: one message, a sensible exit code, no half file."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.signals import HEARS

from .run import PUMP, ROOT, process, shell

FULL = pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")


@FULL
@pytest.mark.parametrize("asked", ["--version", "--help", "pick --help", f"pick {PUMP}", "book -h"])
def test_a_full_disk(asked: str) -> None:
    done = shell(f"$FITSOLVER {asked} > /dev/full")
    assert done.code == 2 and done.err.count("\n") <= 4
    assert "Traceback" not in done.err
    if "-h" not in asked.split():
        assert done.err == "fitsolver: the output cannot be written (No space left on device)\n"


@FULL
def test_nobody_to_be_told() -> None:
    assert shell("$FITSOLVER pick nothing.toml 2> /dev/full").code == 2


def test_ctrl_c_at_any_moment_of_the_start(tmp_path: Path) -> None:
    """From the moment that the program itself runs: before that it is Python that is ended."""
    begun = "import sys, time, fitsolver.__main__ as m; print('begun', flush=True); m.main()"
    for wait in (0.0, 0.02, 0.05, 0.1, 0.15, 0.2, 0.3, 0.45, 0.7):
        started = subprocess.Popen(
            [sys.executable, "-c", begun, "pick", str(PUMP), "--output", str(tmp_path / f"{wait}")],
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=ROOT, **HEARS,
        )  # fmt: skip
        assert started.stdout is not None
        assert started.stdout.readline() == "begun\n"
        time.sleep(wait + 0.01)
        started.send_signal(signal.SIGINT)
        _, err = started.communicate(timeout=60)
        assert "Traceback" not in err, (wait, err)
        assert started.returncode in (0, 4, 130), (wait, err)
        if started.returncode == 130:
            assert not list(tmp_path.iterdir()) or "nothing was written" in err
        if started.returncode == 4:  # the search had a plan, which is shown for what it is
            told = (tmp_path / f"{wait}").read_text(encoding="utf-8")
            assert "not proven best" in " ".join(told.split()), wait
    assert not [path for path in tmp_path.iterdir() if path.name.startswith(".")]


@pytest.mark.parametrize("sent", [signal.SIGTERM, signal.SIGINT, signal.SIGKILL])
@pytest.mark.parametrize("kind", ["csv", "parquet"])
def test_a_screening_that_is_ended_leaves_no_half_file(
    tmp_path: Path, kind: str, sent: signal.Signals
) -> None:
    bores, out = tmp_path / "bores.csv", tmp_path / f"out.{kind}"
    rows = "".join(f"{62 + n % 977 / 1000:.5f}\n" for n in range(4_000_000))
    bores.write_text(f"bore\n{rows}", encoding="utf-8")
    pump = ROOT / "catalogs_demo" / "pump"
    command = [sys.executable, "-m", "fitsolver", "screen", str(bores), str(pump)]
    command += ["--like", str(pump / "ladder.toml"), "--out", str(out)]
    command += ["--bad-rows", str(tmp_path / "bad.csv")]
    started = subprocess.Popen(
        command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, cwd=ROOT, **HEARS
    )
    end = time.monotonic() + 60
    while time.monotonic() < end and not list(tmp_path.glob(".*.part")):
        assert started.poll() is None, started.communicate()[1]
        time.sleep(0.01)
    time.sleep(0.1)
    assert started.poll() is None
    started.send_signal(sent)
    _, err = started.communicate(timeout=60)
    assert started.returncode == {2: 130, 9: -9, 15: 143}[sent]
    assert "Traceback" not in err
    assert not out.exists() and not (tmp_path / "bad.csv").exists()
    if sent != signal.SIGKILL:
        assert list(tmp_path.iterdir()) == [bores]


def test_escapes_of_a_supplier_do_not_reach_the_screen(tmp_path: Path) -> None:
    """Control codes, marks of direction, blanks without width: in cells, names and keys."""
    evil = "\x1b[31mred\x07\u202egnp\u200b\x9b2J"
    folder = tmp_path / "shelf"
    folder.mkdir()
    for path in (ROOT / "catalogs_demo" / "pump").glob("*"):
        if path.suffix == ".csv" or path.name == "catalogue.toml":
            (folder / path.name).write_bytes(path.read_bytes())
    pistons = folder / "pistons.csv"
    text = pistons.read_text(encoding="utf-8")
    head, first, rest = text.split("\n", 2)
    number = first.split(",")[0]
    for changed in (
        f"{head}\n{first.replace(number, evil)}\n{rest}",
        f"{head.replace('number', evil)}\n{first}\n{rest}",
        f"{head}\n{first},{evil}\n{rest}",
        f"{head}\n{first.replace(number, evil)}\n{first.replace(number, evil)}\n{rest}",
    ):
        pistons.write_text(changed, encoding="utf-8")
        for command in (("catalogue", folder), ("pick", PUMP, "--catalogue", folder)):
            done = process("-m", "fitsolver", *command)
            for line in (done.out + done.err).split("\n"):
                assert line.isprintable(), repr(line)
    job = tmp_path / "job.toml"
    job.write_text(f'format = 1\n"{evil[5:8]}\\u001b[2J\\u202e" = 1\n', encoding="utf-8")
    done = process("-m", "fitsolver", "bore", job)
    assert done.code == 2 and all(line.isprintable() for line in done.err.split("\n"))
