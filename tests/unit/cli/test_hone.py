"""The command `hone`: a report from the log, and a prompt that adds to it."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from pathlib import Path

import pytest

from fitsolver.honing.log import HEADER
from tests.unit.honing.jobs import flat, line, pump
from tests.unit.honing.test_stages import bored

from .run import ROOT, Ran, Run, process

READINGS = line(0, flat(0.130)).split(", ")[4:]
#: The same as they are typed at the prompts, place by place.
FIGURES = [cell.split()[-1] for cell in READINGS]


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


def begun(folder: Path) -> Path:
    """Return a job with a first pass in its log: the prompts ask for the places of that check."""
    job = pump(folder)
    first = line(30, flat(0.115))
    job.with_suffix(".hone").write_text(f"{HEADER}{first}\n", encoding="utf-8")
    return job


def entries(job: Path) -> list[str]:
    """Return what was added to the log of a job that was `begun`."""
    return job.with_suffix(".hone").read_text(encoding="utf-8").splitlines()[2:]


def prompted(job: Path, *typed: str) -> Ran:
    """Type lines at the prompts for cylinder 1."""
    text = "\n".join(typed) + "\n"
    ran = process("-m", "fitsolver", "hone", job, "--cylinder", "1", "--enter", input=text)
    assert ran.code == 0 and "Traceback" not in ran.err
    return ran


def test_prompt_keeps_what_was_answered_and_refuses_the_rest(tmp_path: Path) -> None:
    """A slip is asked for again; the input ends in the middle of the third entry."""
    job = begun(tmp_path)
    ran = prompted(job, "-3", "10", "180", "20", *FIGURES, "12", "")
    assert "field 'strokes'" in ran.err
    assert f"1 entry was added to {job.with_suffix('.hone')}. What was typed of the next" in ran.err
    assert entries(job) == [", ".join(["1, 10, 180, 20", *READINGS])]
    assert "strokes, then check" in ran.out


def test_strokes_are_checked_at_once_and_a_refused_figure_is_not_offered(tmp_path: Path) -> None:
    """Enter after a figure that is none means not read, as the header says."""
    job = begun(tmp_path)
    ran = prompted(job, "x", "10", "180", "20", "0.130", "0.1i5", "", ".", "done")
    assert ran.err.count("Stones") == 1  # not asked after strokes that are none
    assert "'0.1i5' is not a number" in ran.err and "[0.1i5]" not in ran.err
    assert entries(job) == ["1, 10, 180, 20, 8 thrust 0.130"]


def test_a_doubted_entry_is_offered_again_but_what_is_doubted(tmp_path: Path) -> None:
    job = begun(tmp_path)
    typed = ["10", "180", "20", "0.310", *FIGURES[1:], "", "", "", "0.130", *[""] * 9, "done"]
    ran = prompted(job, *typed)
    assert "(was 0.115; doubted: 0.310):" in ran.err and "(was 0.115) [0.130]:" in ran.err
    assert "[0.310]" not in ran.err
    assert entries(job) == [", ".join(["1, 10, 180, 20", *READINGS])]


def test_a_doubted_entry_is_taken_as_it_was_typed(run: Run, tmp_path: Path) -> None:
    """A decimal comma is read; what is accepted stands in the log, and stays accepted."""
    job = begun(tmp_path)
    ran = prompted(job, "10", "180", "20,5", "0,310", *FIGURES[1:], "accept", "done")
    assert "Doubted: cylinder 1 8 thrust: +0.310 mm is 62." in ran.err
    assert "'accept', at the strokes, takes it as it was typed" in ran.err
    assert "--accept" not in ran.err and "accept =" not in ran.err
    entry = ", ".join(["1, 10, 180, 20.5, 8 thrust 0.310", *READINGS[1:]])
    assert entries(job) == [entry, "# accept pass 2/1/8/thrust"]
    assert "1 entry was added" in ran.err and run("hone", job).code == 0


def test_after_a_bar_enter_takes_no_strokes_and_its_name(tmp_path: Path) -> None:
    job = bored(tmp_path)
    ran = prompted(job, "", "", "", *["0,240"] * 10, ".", "x", "10", "", "", ".", "done")
    first = "first the plan's stage 'bore', which is no honing. The check after it has 0 strokes,"
    assert f"{first}\n  and 'bore' as its stones." in ran.err and ran.err.count(first) == 1
    assert ran.err.count("Stones [bore]") == 1
    log = job.with_suffix(".hone").read_text(encoding="utf-8").splitlines()[1:]
    assert log[0].startswith("1, 0, bore, , 3 thrust 0.240, ") and log[1:] == ["1, 10, ,"]


@pytest.mark.parametrize("before", [[], ["10"], ["10", "180"], ["10", "180", "20", "0.131"]])
def test_done_ends_at_any_question(tmp_path: Path, before: list[str]) -> None:
    job = begun(tmp_path)
    told = prompted(job, *before, "done", "0.130", ".").err
    assert entries(job) == [] and told.endswith(
        f"No entry was added to {job.with_suffix('.hone')}.\n"
    )


def test_an_unknown_cylinder_is_refused_at_once(tmp_path: Path) -> None:
    """Nothing is offered after it; what was typed for one cylinder is not offered for another."""
    job = pump(tmp_path)
    first = ["1", "10", "180", "20", "0.080", "."]  # refused: no reading of it decides
    typed = ["30", *first, *("1", "10", "", "", "", "."), *("2", "10", "", "", "done")]
    ran = process("-m", "fitsolver", "hone", job, "--enter", input="\n".join(typed) + "\n")
    questions = ran.err.split("Cylinder (1, 2)")
    assert "unknown cylinder; found: 30; allowed: 1, 2" in questions[1] and "[30]" not in ran.err
    assert "Strokes" not in questions[1]
    assert "[0.080]" in questions[3] and "[0.080]" not in questions[4]
    assert "No entry was added.\n" in ran.err and not job.with_suffix(".hone").exists()


def test_the_questions_stay_on_a_screen_of_24_lines(tmp_path: Path) -> None:
    """The line on top, its advice and what is new of two cylinders; the rest by its name."""
    job = pump(tmp_path)
    ran = process("-m", "fitsolver", "hone", job, "--enter", input="1\n10\n180\n20\n.\nfull\n")
    lines = ran.out.splitlines()
    assert lines[1].startswith("CYL. 1  NEXT") and lines[2].startswith("CYL. 2  NEXT")
    again = next(n for n, text in enumerate(lines) if n > 2 and text.startswith("CYL. 1"))
    assert again + len(ran.err.split("Cylinder (1")[0].splitlines()) <= 22
    assert "Cautions" in lines[:again] and "finish size" in ran.out
    assert lines[again + 1].startswith("CYL. 2")
    whole = next(n for n, text in enumerate(lines) if n > again and text.startswith("====="))
    assert whole - again <= 10


def test_figures_are_asked_in_the_order_of_the_last_check(tmp_path: Path) -> None:
    """Enter at a place means not read; the next pass asks for the places that were."""
    job = pump(tmp_path)
    log = f"{HEADER}1, 30, 180, 20, 18 pin 0.115, 8 thrust 0.116\n"
    job.with_suffix(".hone").write_text(log, encoding="utf-8")
    told = prompted(job, "5", "", "", "", "0.121", "done").err
    assert entries(job) == ["1, 5, , , 8 thrust 0.121"]
    assert told.index("18 pin    (was 0.115)") < told.index("8 thrust  (was 0.116)")


def test_enter_takes_the_strokes_advised_and_repeats_stones_and_temperature(tmp_path: Path) -> None:
    job = begun(tmp_path)
    told = prompted(job, "10", "180", "20", *FIGURES, "", "", "", ".", "done").err
    advised = told.split("Strokes, or seconds as '35 s' [")[2].split("]")[0]
    assert entries(job)[1] == f"1, {advised}, 180, 20"


def test_a_place_is_read_again_after_back(tmp_path: Path) -> None:
    job = begun(tmp_path)
    prompted(job, "10", "180", "20", "0.131", "back", "0.130", ".", "done")
    assert entries(job) == ["1, 10, 180, 20, 8 thrust 0.130"]


def test_the_last_entry_is_taken_back_and_stays_in_the_log(run: Run, tmp_path: Path) -> None:
    job = begun(tmp_path)
    told = prompted(job, "10", "180", "20", ".", "back", "12", "", "", ".", "back", "done").err
    assert entries(job) == ["1, 10, 180, 20", "1, taken back", "1, 12, 180, 20", "1, taken back"]
    assert "kept in the log as taken back: line 3" in told
    report = " ".join(run("hone", job, "--cylinder", "1").out.split())
    assert "its last entry was taken back (line 5: 12 strokes, 0 readings)" in report
    assert "no entry of this cylinder is left" in prompted(job, "back", "back", "done").err


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
    assert "takes 5.00 µm at most (common practice, no source)" in told
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
    job = begun(tmp_path)
    log = job.with_suffix(".hone")
    before = log.stat().st_size
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
        asking.stdin.write("\n".join(["10", "180", "20", *FIGURES, "12", "180", ""]))
        asking.stdin.flush()
        end = time.monotonic() + 60
        while time.monotonic() < end and log.stat().st_size == before:
            time.sleep(0.02)
    finally:
        asking.kill()
        asking.communicate()
    assert entries(job) == [", ".join(["1, 10, 180, 20", *READINGS])]
