"""`fitsolver new` with readings: a grid, a plain column, and what the dial was zeroed on."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.reading.job_file import read_job
from fitsolver.records.job import Job

from .run import DEMOS, Run

GRID = "bores as read\ndepth [in],1 thrust,1 pin,2 thrust,2 pin\n0.4,3.5052,3.5036,3.505,3.504\n"
GRID += "1.5,3.5041,3.5028,3.504,3.503\n"
FAMILY = ("--family", "Harbour LAUNCH h35", "-c", DEMOS / "launch", "--units", "in")


def read(file: Path) -> Job:
    return read_job(file, windows_needed=False)


def test_a_job_of_a_known_family_with_a_grid_is_complete(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "read.csv").write_text(GRID, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    ran = run("new", "job.toml", *FAMILY, "--readings", "read.csv")
    assert (ran.code, ran.err) == (0, "")
    assert "Type the" not in ran.out
    text = (tmp_path / "job.toml").read_text(encoding="utf-8")
    assert len([line for line in text.splitlines() if line and not line.startswith("#")]) <= 15
    job = read(tmp_path / "job.toml")
    assert job.family == "harbour launch H35"
    assert [len(c.readings) for c in job.cylinders] == [4, 4]
    assert run("bore", "job.toml").code == 0


def test_a_dial_sheet_needs_the_zero(run: Run, tmp_path: Path) -> None:
    sheet = "depth,1 thrust,1 pin\n0.4,0.0052,0.0036\n"
    (tmp_path / "read.csv").write_text(sheet, encoding="utf-8")
    words = ("new", tmp_path / "job.toml", "--units", "in", "--readings", tmp_path / "read.csv")
    ran = run(*words)
    assert ran.code == 2
    assert "--zero" in ran.err
    assert run(*words, "--zero", "3.5").code == 0
    (cylinder,) = read(tmp_path / "job.toml").cylinders
    assert sorted(r.size for r in cylinder.readings) == [8_899_144, 8_903_208]


def test_a_plain_column_with_its_places(run: Run, tmp_path: Path) -> None:
    figures = ["62.07", "62.05", "62.06", "62.04", "62.09", "62.08", "62.07", "62.05"]
    (tmp_path / "export.txt").write_text("size\n" + "\n".join(figures) + "\n", encoding="utf-8")
    words = ("new", tmp_path / "job.toml", "--readings", tmp_path / "export.txt")
    assert "--places" in run(*words).err
    places = ("--places", "8 thrust, 8 pin, 40 thrust, 40 pin")
    assert "another number" in run(*words, *places, "--cylinders", "3").err
    assert run(*words, *places).code == 0
    one, two = read(tmp_path / "job.toml").cylinders
    assert [(r.depth, r.angle, r.size) for r in two.readings] == [
        (800_000, 0, 6_209_000),
        (800_000, 90, 6_208_000),
        (4_000_000, 0, 6_207_000),
        (4_000_000, 90, 6_205_000),
    ]
    assert len(one.readings) == 4


@pytest.mark.parametrize("places", ["8", "8 x", "thrust 8", "-1 pin", "8 thrust;8 pin"])
def test_a_place_that_is_none_is_refused(run: Run, tmp_path: Path, places: str) -> None:
    (tmp_path / "export.txt").write_text("62.07\n62.05\n", encoding="utf-8")
    words = ("new", tmp_path / "job.toml", "--readings", tmp_path / "export.txt")
    ran = run(*words, "--places", places)
    assert (ran.code, (tmp_path / "job.toml").exists()) == (2, False)
    assert "this is no place" in ran.err


def test_the_sheet_has_as_many_cylinders_as_are_asked_for(run: Run, tmp_path: Path) -> None:
    (tmp_path / "read.csv").write_text(GRID, encoding="utf-8")
    words = ("new", tmp_path / "job.toml", *FAMILY, "--readings", tmp_path / "read.csv")
    assert "another number of cylinders" in run(*words, "--cylinders", "4").err


@pytest.mark.parametrize("units", ["mm", "um", "in", "thou"])
def test_each_comment_stands_once_and_in_the_unit_of_the_job(
    run: Run, tmp_path: Path, units: str
) -> None:
    ran = run("new", tmp_path / "job.toml", "--cylinders", "8", "--units", units)
    assert ran.code == 0
    text = (tmp_path / "job.toml").read_text(encoding="utf-8")
    assert text.count("of the bore, as the routes name it") == 1
    assert len(text.splitlines()) < 240
    if units in ("in", "thou"):
        assert ' mm"' not in text
        assert ' um"' not in text


def test_a_material_that_nobody_states_is_written_and_the_family_as_its_sheet_names_it(
    run: Run, tmp_path: Path
) -> None:
    """A sheet that came with a price list has none: the job is complete all the same."""
    (tmp_path / "shelf" / "families").mkdir(parents=True)
    (tmp_path / "shelf" / "catalogue.toml").write_text('format = 1\nname = "a"\nunits = "mm"\n')
    sheet = 'format = 1\nfamily = "Twin 66"\nunits = "mm"\nstandard_bore = 66\n'
    (tmp_path / "shelf" / "families" / "twin.toml").write_text(sheet)
    (tmp_path / "read.csv").write_text("depth,1 thrust,1 pin\n8,66.1,66.1\n")
    words = ("-c", tmp_path / "shelf", "--family", "twin  66", "--readings", tmp_path / "read.csv")
    assert run("new", tmp_path / "job.toml", *words).code == 0
    text = (tmp_path / "job.toml").read_text(encoding="utf-8")
    assert 'family = "Twin 66"' in text and 'material = "iron"' in text
    assert read(tmp_path / "job.toml").cylinders[0].material == "iron"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_headings_as_people_write_them(run: Run, tmp_path: Path, encoding: str) -> None:
    """`cyl`, units without brackets; a spreadsheet's 'Unicode text' is UTF-16."""
    rows = "cyl,depth mm,axis,size in\n1,8,thrust,2.4437\n1,8,pin,2.4430\n"
    (tmp_path / "read.csv").write_text(rows, encoding=encoding)
    job = tmp_path / "job.toml"
    assert run("new", job, "--readings", tmp_path / "read.csv").code == 0
    (cylinder,) = read(job).cylinders
    assert [(r.depth, r.size) for r in cylinder.readings] == [
        (800_000, 6_206_998),
        (800_000, 6_205_220),
    ]  # 2.4437 in = 62.06998 mm


def test_a_refusal_says_what_is_missing(run: Run, tmp_path: Path) -> None:
    grid = "cylinder;1;1\naxis;thrust;pin\n8;62,071;62,052\n40;62,064;62,049\n"
    (tmp_path / "grid.csv").write_text(grid, encoding="utf-8")
    (tmp_path / "column.csv").write_text("62.01\n62.02\n62.03\n62.04\n", encoding="utf-8")
    job = tmp_path / "job.toml"

    def told(*args: object) -> str:
        ran = run("new", job, *args)
        assert ran.code == 2 and not job.exists()
        return ran.err

    sheet = told("--readings", tmp_path / "grid.csv")
    assert "row 2: no heading says where the depths stand" in sheet
    column = ("--readings", tmp_path / "column.csv", "--places")
    assert "found: 4; allowed: 3 for each cylinder, as 3 or 6" in told(
        *column, "8 pin, 9 pin, 7 pin"
    )
    assert "found: 40 thrst; allowed" in told(*column, "8 thrust, 40 thrst")
    units = told("--units", "inches")
    assert "'inches' is not one of" in units and "(did you mean 'in'?)" in units
    assert "Value error" not in units
