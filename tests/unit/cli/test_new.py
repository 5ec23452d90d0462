"""`fitsolver new`: a job file from options, or by asking on a terminal."""

from __future__ import annotations

import re
import sys
from pathlib import Path
from typing import Any

import pytest

from fitsolver import NewJob, new_job
from fitsolver.base.errors import InputError
from fitsolver.reading.job_file import read_job
from fitsolver.reading.job_template import job_template
from fitsolver.records.job import Job
from tests.signals import HEARS
from tests.unit.reading.uncommented import with_examples

from .run import BRUSHSAW, ROOT, Run, content, process

pexpect: Any = pytest.importorskip("pexpect")
needs_terminal = pytest.mark.skipif(sys.platform == "win32", reason="no pseudo terminal")


def filled(file: Path) -> Job:
    """The job of a new file once its blanks are filled and its example readings uncommented."""
    text = with_examples(file.read_text(encoding="utf-8"))
    file.write_text(text.replace('= ""', '= "9 um"'), encoding="utf-8")
    return read_job(file)


def test_from_options(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "saw.toml"
    ran = run(
        *("new", file, "--name", 'saw "2"', "--units", "in", "--family", "S44"),
        *("--catalogue", tmp_path.parent / "shelf", "--cylinders", 3, "--material", "plated"),
        *("--finish", "set size", "--stroke", "33 mm", "--clearance", "-0.001", "4 thou"),
        *("--end-gap", "0.006", "0.3 mm"),
    )
    assert (ran.code, ran.err) == (0, "")
    job = filled(file)
    assert (job.name, job.unit, job.family, job.finishing) == ('saw "2"', "in", "S44", "set size")
    assert job.catalogue == str(tmp_path.parent / "shelf")
    assert [(c.name, c.material) for c in job.cylinders] == [(n, "plated") for n in "123"]
    assert job.engine.stroke == 3_300_000
    assert [(w.fit, w.low, w.high) for w in job.windows] == [
        ("clearance", -2_540, 10_160),
        ("end_gap", 15_240, 30_000),
        ("out_of_round", None, 900),
        ("taper", None, 900),
    ]


def test_says_what_to_do_next(run: Run, tmp_path: Path) -> None:
    """What it names can be typed as it stands."""
    file = tmp_path / "my job.toml"
    ran = run("new", file)
    assert f"{file} is written." in ran.out
    for command in ("bore", "pick"):
        assert f"fitsolver {command} '{file}'" in ran.out
    assert filled(file).name == "my job"


def test_a_name_that_looks_like_an_option(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert "fitsolver pick ./-x.toml" in run("new", "--", "-x.toml").out


def test_a_catalogue_is_named_as_seen_from_the_file(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("jobs").mkdir()
    run("new", "jobs/a.toml", "-c", "shelf")
    run("new", "b.toml", "-c", "shelf")
    assert (filled(Path("jobs/a.toml")).catalogue, filled(Path("b.toml")).catalogue) == (
        "../shelf",
        "shelf",
    )


@pytest.mark.parametrize(
    ("options", "named"),
    [
        (("--cylinders", "0"), ("'cylinders'", "found: 0", "allowed: 1 to 64")),
        (("--clearance", "0.08", "0.05"), ("'clearance'", "found: 0.08 and 0.05")),
        (("--end-gap", "nan", "1"), ("'end_gap'", "found: nan")),
        (("--stroke", "-3"), ("'stroke'", "found: -3", "allowed: above 0")),
        (("--material", " "), ("'material'",)),
        (("--name", " "), ("'name'",)),
        (("--units", "cm"), ("'--units'", "mm")),
        (("--finish", "soon"), ("'--finish'", "piston in hand")),
        (("--clearance", "0.05"), ("'--clearance' requires 2 arguments",)),
    ],
)
def test_bad_options(
    run: Run, tmp_path: Path, options: tuple[str, ...], named: tuple[str, ...]
) -> None:
    ran = run("new", tmp_path / "job.toml", *options)
    assert (ran.code, ran.out, content(tmp_path)) == (2, "", {})
    for part in named:
        assert part in ran.err


def test_blanks_are_refused_all_at_once(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "saw.toml"
    assert run("new", file, "--catalogue", BRUSHSAW.parent, "--family", "").code == 0
    text = with_examples(file.read_text(encoding="utf-8"))
    file.write_text(text.replace("62.", "44.0"), encoding="utf-8")
    assert run("bore", file).code == 0  # the form of a bore needs no window
    ran = run("pick", file)
    assert (ran.code, ran.out) == (2, "")
    for line in (
        "saw.toml, field 'window': these windows are not filled in yet:",
        "[[window]] 1, clearance: low and high; see the engine's workshop manual",
        "[[window]] 2, end gap 1: low and high; see the leaflet in the ring maker's box",
        "[[window]] 3, end gap 2: low and high",
        "[[window]] 4, out-of-round: high; see the wear limits",
        "[[window]] 5, taper: high",
    ):
        assert line in ran.err
    assert content(tmp_path) == {"saw.toml": file.read_bytes()}


def test_grooves_come_from_the_catalogue(run: Run, tmp_path: Path) -> None:
    """The launch has three grooves; a folder that cannot be read is none."""
    for folder, grooves in (("launch", ["1", "2", "3"]), ("nosuch", ["1", "2"])):
        file = tmp_path / f"{folder}.toml"
        assert run("new", file, "-c", BRUSHSAW.parents[1] / folder, "--family", "").code == 0
        text = file.read_text(encoding="utf-8")
        assert re.findall(r"^groove = (.)", text, re.M) == grooves


@pytest.mark.parametrize("family", ["harbour launch H35", "Harbour-launch", "h35", None])
def test_the_family_found_gives_its_unit(run: Run, tmp_path: Path, family: str | None) -> None:
    """However it is typed; and the only one of the catalogue where none is."""
    said = [] if family is None else ["--family", family]
    asked = ("new", tmp_path / "a.toml", "-c", BRUSHSAW.parents[1] / "launch", *said)
    assert run(*asked).code == 0
    text = (tmp_path / "a.toml").read_text(encoding="utf-8")
    assert 'units = "in"\n' in text and 'family = "harbour launch H35"\n' in text
    assert "format = 2\n" in text
    assert run("new", tmp_path / "b.toml", *asked[2:], "--units", "mm").code == 0
    assert 'units = "mm"\n' in (tmp_path / "b.toml").read_text(encoding="utf-8")


def test_never_overwrites(run: Run, tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text("mine")
    before = content(tmp_path)
    for name in ("job.toml", ".", "job.toml/x", "nosuch/job.toml"):
        ran = run("new", tmp_path / name)
        assert (ran.code, ran.out) == (2, ""), name
        assert ran.err.startswith("fitsolver: ")
    with pytest.raises(InputError):
        new_job(tmp_path / "job.toml", NewJob("x"))
    assert content(tmp_path) == before


def test_from_python(tmp_path: Path) -> None:
    new = NewJob("pump", cylinders=2)
    new_job(tmp_path / "job.toml", new)
    assert (tmp_path / "job.toml").read_text(encoding="utf-8") == job_template(new)


def test_asks_nothing_where_nobody_answers(tmp_path: Path) -> None:
    ran = process("-m", "fitsolver", "new", tmp_path / "job.toml", input="no\n")
    assert (ran.code, ran.err) == (0, "")


def asking(file: Path, *options: str) -> Any:
    """`fitsolver new` on a pseudo terminal."""
    args = ["-m", "fitsolver", "new", str(file), *options]
    return pexpect.spawn(sys.executable, args, cwd=str(ROOT), encoding="utf-8", timeout=30, **HEARS)


@needs_terminal
def test_asks_for_what_is_missing(tmp_path: Path) -> None:
    """One question each with a default; a bad answer is refused and asked for again."""
    file = tmp_path / "job.toml"
    child = asking(file, "--family", "P62", "--end-gap", "0.25", "0.4", "--units", "mm")
    for question, answer in (
        (r"Name of the job \[job\]: ", "pump"),
        (r"Catalogue folder.*: ", ""),
        (r"File of readings.*: ", "nosuch.csv"),
        (r"there is no such file.*File of readings.*: ", ""),
        (r"Number of cylinders \[1\]: ", "two"),
        (r"found: two.*Number of cylinders \[1\]: ", "2"),
        (r"Material of the bores .*\[iron\]: ", ""),
        (r"How it is finished .*\[piston in hand\]: ", "tomorrow"),
        (r"found: tomorrow.*How it is finished .*\[piston in hand\]: ", "set size"),
        (r"Stroke .*: ", "58"),
        (r"Clearance.*: ", "0.08 0.05"),
        (r"lowest value is above its highest.*Clearance.*: ", "2 thou to 0.08"),
        (r"Depths to type readings at.*: ", ""),
    ):
        child.expect(question)
        child.sendline(answer)
    child.expect("is written")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 0
    job = filled(file)
    assert (job.name, job.unit, job.family, job.finishing) == ("pump", "mm", "P62", "set size")
    assert (len(job.cylinders), job.cylinders[0].material, job.catalogue) == (2, "iron", None)
    assert job.engine.stroke == 5_800_000
    assert [(w.fit, w.low, w.high) for w in job.windows] == [
        ("clearance", 5_080, 8_000),
        ("end_gap", 25_000, 40_000),
        ("out_of_round", None, 900),
        ("taper", None, 900),
    ]


@needs_terminal
@pytest.mark.parametrize("leave", ["sendintr", "sendeof"])
def test_leaving_the_questions_writes_nothing(tmp_path: Path, leave: str) -> None:
    child = asking(tmp_path / "job.toml")
    child.expect("Name of the job")
    getattr(child, leave)()
    child.expect("fitsolver: interrupted; nothing was written")
    child.expect(pexpect.EOF)
    child.close()
    assert (child.exitstatus, content(tmp_path)) == (130, {})


def test_what_a_new_job_lacks_is_told_at_once(run: Run, tmp_path: Path) -> None:
    """The catalogue, every blank window and the readings, in one refusal."""
    job = tmp_path / "job.toml"
    assert run("new", job).code == 0
    ran = run("pick", job)
    assert ran.code == 2 and "3 things are wrong" in ran.err
    assert "no catalogue is named" in ran.err and "[[window]] 1, clearance: low" in ran.err
    assert "cylinder '1', field 'readings': this cylinder has no readings" in ran.err
