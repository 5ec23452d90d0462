"""`fitsolver new` for a known family, and `--from`: the new form of an old job."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from fitsolver.reading.job_file import read_job
from fitsolver.reading.shorten import alike
from fitsolver.records.base import Record
from fitsolver.reporting.schema import to_json
from fitsolver.usecases.files import final, pick
from tests.unit.reading.test_owners import without_owners
from tests.unit.reading.uncommented import with_examples

from .run import DEMOS, ROOT, Run

FORMAT1 = ROOT / "tests" / "format1" / "pump"
PUMP = DEMOS / "pump"
FAMILY = ("--family", "portable pump P62", "--catalogue", PUMP)
TABLES = ("--catalogue", PUMP)


def lines(file: Path) -> list[str]:
    text = file.read_text(encoding="utf-8")
    return [line for line in text.splitlines() if line.strip() and not line.startswith("#")]


@pytest.mark.parametrize("count", [1, 2, 4])
def test_a_job_of_a_known_family_has_15_lines(run: Run, tmp_path: Path, count: int) -> None:
    file = tmp_path / "spring.toml"
    ran = run("new", file, *FAMILY, "--cylinders", count)
    assert (ran.code, ran.err) == (0, "")
    assert "Type the readings into it" in ran.out
    assert len(lines(file)) <= 15
    text = with_examples(file.read_text(encoding="utf-8"))
    file.write_text(text, encoding="utf-8")
    rows = "".join(f"{n + 1},8,thrust,62.07\n" for n in range(count))
    (tmp_path / "readings.csv").write_text("cylinder,depth,axis,diameter\n" + rows)
    job = read_job(file)
    assert [(c.name, c.material) for c in job.cylinders] == [
        (str(n + 1), "iron") for n in range(count)
    ]
    assert job.engine.stroke == 5_800_000
    assert {window.owner for window in job.windows} == {"family sheet"}
    assert len(job.same_size) == (count > 1)


def test_what_was_asked_for_stands_in_the_job(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "spring.toml"
    told = ("--material", "iron", "--finish", "piston in hand", "--stroke", "2.5 in")
    run("new", file, *FAMILY, *told, "--units", "in", "--clearance", "2 thou", "0.004")
    text = file.read_text(encoding="utf-8")
    for line in (
        'finish = { how = "piston in hand" }',
        'each_cylinder = { material = "iron" }',
        "engine = { stroke = 2.5 }",
    ):
        assert line in text
    file.write_text(with_examples(text), encoding="utf-8")
    job = read_job(file)
    assert (job.windows[0].low, job.windows[0].high, job.windows[0].owner) == (5_080, 10_160, "job")


def test_a_family_that_no_sheet_is_of(run: Run, tmp_path: Path) -> None:
    ran = run("new", tmp_path / "a.toml", "--family", "portable pump P26", *TABLES)
    assert ran.code == 2
    assert "did you mean 'portable pump P62'" in ran.err
    assert not (tmp_path / "a.toml").exists()


@pytest.mark.parametrize("enough", ["P62", "PORTABLE pump", "portable-pump p62"])
def test_enough_of_a_family_s_name_will_do(run: Run, tmp_path: Path, enough: str) -> None:
    ran = run("new", tmp_path / "a.toml", "--family", enough, *TABLES)
    assert (ran.code, ran.err) == (0, "")
    assert 'family = "portable pump P62"' in (tmp_path / "a.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["job", "worn_out", "ladder", "earlier"])
def test_the_new_form_of_an_old_job_answers_as_before(run: Run, tmp_path: Path, name: str) -> None:
    old, new = FORMAT1 / f"{name}.toml", tmp_path / "new.toml"
    ran = run("new", "--from", old, new, *TABLES)
    assert (ran.code, ran.err) == (0, "")
    assert len(lines(new)) < len(lines(old))
    assert alike(read_job(new)) == alike(read_job(old))
    assert told(pick(old)) == told(pick(new))


SAW = ("job", "guarded", "finished", "stack", "timing")


@pytest.mark.parametrize("demo", ["launch/job", *(f"brushsaw/{name}" for name in SAW)])
def test_a_job_that_names_its_catalogue(run: Run, tmp_path: Path, demo: str) -> None:
    """Its form of format 1, kept in tests/format1, becomes the new one with the same answer."""
    old, new = FORMAT1.parent / f"{demo}.toml", tmp_path / "new.toml"
    assert run("new", "--from", old, new).code == 0
    assert 2 * len(lines(new)) < len(lines(old)) + 20
    assert alike(read_job(new)) == alike(read_job(old))
    answers = [final(file) if demo.endswith("finished") else pick(file) for file in (old, new)]
    assert told(answers[0]) == told(answers[1])


def told(answer: Record) -> object:
    """An answer but for whose figure each is, and for what its job file is."""
    return without_owners(json.loads(to_json(answer)))


def test_a_job_of_format_2_gets_no_longer(run: Run, tmp_path: Path) -> None:
    run("new", "--from", PUMP / "job.toml", tmp_path / "new.toml")
    assert alike(read_job(tmp_path / "new.toml")) == alike(read_job(PUMP / "job.toml"))
    assert "[[window]]" not in (tmp_path / "new.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (("--from", "none.toml"), "none.toml: there is no such file"),
        (("--from", FORMAT1 / "job.toml", "--units", "in"), "only --catalogue goes with it"),
        (("--from", DEMOS / "workshop" / "jobs" / "rally_boat.toml"), "no catalogue is"),
        (("--from", FORMAT1 / "job.toml"), "no family sheet"),
    ],
)
def test_refused(run: Run, tmp_path: Path, args: tuple[object, ...], says: str) -> None:
    ran = run("new", tmp_path / "new.toml", *args)
    assert ran.code == 2
    assert says in " ".join(ran.err.split())
    assert not (tmp_path / "new.toml").exists()


def test_nothing_is_overwritten(run: Run, tmp_path: Path) -> None:
    (tmp_path / "new.toml").write_text("here", encoding="utf-8")
    ran = run("new", "--from", FORMAT1 / "job.toml", tmp_path / "new.toml")
    assert ran.code == 2
    assert (tmp_path / "new.toml").read_text(encoding="utf-8") == "here"
