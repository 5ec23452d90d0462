"""The command `hone`: a report from the log, and a prompt that adds to it."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.unit.honing.jobs import flat, line, pump

from .run import ROOT, Run, process

READINGS = ", ".join(line(0, flat(0.115)).split(", ")[4:])


def test_report_and_document(run: Run, tmp_path: Path) -> None:
    job = pump(tmp_path)
    job.with_suffix(".hone").write_text(line(30, flat(0.115)) + "\n", encoding="utf-8")
    ran = run("hone", job)
    assert (ran.code, ran.err) == (0, "")
    for shown in ("strokes, then check", "to the lowest", "µm per stroke", "Risk of passing"):
        assert shown in ran.out
    document = json.loads(run("hone", job, "--json", "--cylinder", "2").out)
    assert [item["cylinder"] for item in document["cylinders"]] == ["2"]
    inches = run("hone", job, "--unit", "in")
    assert "lengths in inches" in inches.out


def test_prompt_keeps_what_was_answered_and_refuses_the_rest(tmp_path: Path) -> None:
    """A slip is asked for again; the input ends in the middle of the third entry."""
    job = pump(tmp_path)
    typed = ["-3", "30", "180", "20", READINGS, "12", ""]
    ran = process(
        "-m", "fitsolver", "hone", job, "--cylinder", "1", "--enter", input="\n".join(typed)
    )
    assert ran.code == 0
    assert "field 'strokes'" in ran.err and "Every entry that was answered is in" in ran.err
    assert "Traceback" not in ran.err
    log = job.with_suffix(".hone").read_text(encoding="utf-8").splitlines()
    assert len(log) == 2 and log[1].startswith("1, 30, 180, 20, 8 thrust 0.115")
    assert "strokes, then check" in ran.out


def test_strokes_are_checked_at_once_and_refused_readings_offered_again(tmp_path: Path) -> None:
    job = pump(tmp_path)
    asked = "x\n30\n180\n20\n8 thrust nonsense\n30\n\n\n8 thrust 0.115\n\n"
    ran = process("-m", "fitsolver", "hone", job, "--cylinder", "1", "--enter", input=asked)
    assert ran.err.count("Stones") == 2  # not asked after strokes that are none
    assert "[8 thrust nonsense]" in ran.err
    log = job.with_suffix(".hone").read_text(encoding="utf-8").splitlines()
    assert log[1:] == ["1, 30, 180, 20, 8 thrust 0.115"]


def test_too_large_shows_what_is_now_possible(run: Run, tmp_path: Path) -> None:
    job = pump(tmp_path)
    job.with_suffix(".hone").write_text(line(200, flat(0.345)) + "\n", encoding="utf-8")
    ran = run("hone", job)
    assert ran.code == 0
    assert "larger than the highest permitted size" in ran.out
    assert "What is now possible" in ran.out


def test_nothing_left_after_too_much_ends_as_elsewhere(run: Run, tmp_path: Path) -> None:
    """0.5 mm on the dial is past every set of one size: code 3, in the report and as a document."""
    job = pump(tmp_path)
    job.with_suffix(".hone").write_text(line(200, flat(0.5)) + "\n", encoding="utf-8")
    ran = run("hone", job)
    assert ran.code == 3
    assert "larger than the highest permitted size" in ran.out
    as_document = run("hone", job, "--json")
    assert as_document.code == 3
    assert json.loads(as_document.out)["repick"]["status"] == "nothing fits"


def test_stones_named_beforehand(run: Run, tmp_path: Path) -> None:
    job = pump(tmp_path)
    job.with_suffix(".hone").write_text(line(30, flat(0.115)) + "\n", encoding="utf-8")
    ran = run("hone", job, "--cylinder", "1", "--stones", "400")
    assert ran.code == 0
    told = " ".join(ran.out.split())
    assert "No rate is known for these stones yet: 20 strokes, then check." in told
    assert "takes 5.0 µm at most (common practice, no source)" in told
    told = " ".join(run("hone", job).out.split())
    assert "Risk of passing the highest: 0.1% at most with this pass" in told
    assert "0.1% with those before it; 5.0% is the most for the bore" in told


def test_a_torn_line_is_told(run: Run, tmp_path: Path) -> None:
    job = pump(tmp_path)
    job.with_suffix(".hone").write_text(line(30, flat(0.115)) + "\n1, 4, 1", encoding="utf-8")
    assert "was cut off and is not counted: '1, 4, 1'" in " ".join(run("hone", job).out.split())


@pytest.mark.parametrize(
    ("args", "message"),
    [
        (("--cylinder", "9"), "field 'cylinder'"),
        (("--risk", "0.9"), "field 'risk'"),
        (("--log", "nowhere/x.hone/y"), ""),
        (("--enter", "--json"), "--enter"),
    ],
)
def test_bad_input(run: Run, tmp_path: Path, args: tuple[str, ...], message: str) -> None:
    ran = run("hone", pump(tmp_path), *args)
    if message:
        assert ran.code == 2 and message in ran.err
    else:  # a log that is not there holds nothing
        assert ran.code == 0


def test_a_killed_program_has_lost_nothing(tmp_path: Path) -> None:
    """Killed while it asks for the second entry: the first is in the log, whole."""
    job = pump(tmp_path)
    log = job.with_suffix(".hone")
    asking = subprocess.Popen(
        [sys.executable, "-m", "fitsolver", "hone", str(job), "--cylinder", "1", "--enter"],
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        cwd=ROOT,
        text=True,
    )
    try:
        assert asking.stdin is not None
        asking.stdin.write(f"30\n180\n20\n{READINGS}\n12\n180\n")
        asking.stdin.flush()
        end = time.monotonic() + 60
        while time.monotonic() < end and not (log.exists() and log.stat().st_size):
            time.sleep(0.02)
    finally:
        asking.kill()
        asking.communicate()
    entries = log.read_text(encoding="utf-8").splitlines()
    assert len(entries) == 2 and entries[1] == f"1, 30, 180, 20, {READINGS}"
