"""Readings in drawn layouts: what was written is read, or refused; never anything else."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.job_file import read_job

from .layouts import drawn

SEEDS = range(600)
#: How many drawn layouts must be understood, in per cent.
UNDERSTOOD = 99


def read(path: Path) -> dict[str, set[tuple[int, int, int]]]:
    job = read_job(path, windows_needed=False, accept_outliers=True)
    return {c.name: {(r.depth, r.angle, r.size) for r in c.readings} for c in job.cylinders}


def test_drawn_layouts_are_read_exactly_or_refused(tmp_path: Path) -> None:
    refused = []
    for seed in SEEDS:
        folder = tmp_path / str(seed)
        folder.mkdir()
        one = drawn(seed)
        try:
            found = read(one.write(folder))
        except InputError as error:
            refused.append((seed, str(error)))
            continue
        assert found == one.readings, seed
    print(refused)
    assert len(refused) <= len(SEEDS) * (100 - UNDERSTOOD) // 100, refused


JOB = 'format = 1\nname = "a"\nunits = "mm"\n'
CYLINDER = '[[cylinder]]\nname = "{}"\nmaterial = "iron"\nreadings_file = "read.csv"\n'
Refused = Callable[..., str]


@pytest.fixture
def refused(tmp_path: Path) -> Refused:
    def ask(sheet: str, *names: str, job: str = JOB, more: str = "") -> str:
        (tmp_path / "read.csv").write_text(sheet, encoding="utf-8")
        text = job + "".join(CYLINDER.format(name) + more for name in names or ("1",))
        (tmp_path / "job.toml").write_text(text, encoding="utf-8")
        with pytest.raises(InputError) as error:
            read(tmp_path / "job.toml")
        return str(error.value)

    return ask


def test_a_grid_without_cylinders_is_of_the_only_one(tmp_path: Path, refused: Refused) -> None:
    sheet = "depth,thrust,pin\n8,62.07,62.05\n40,62.06,62.04\n"
    (tmp_path / "read.csv").write_text(sheet, encoding="utf-8")
    (tmp_path / "job.toml").write_text(JOB + CYLINDER.format("1"), encoding="utf-8")
    assert len(read(tmp_path / "job.toml")["1"]) == 4
    assert "which cylinder" in refused(sheet, "1", "2")


def test_notes_below_a_grid_are_no_readings(tmp_path: Path) -> None:
    sheet = "depth,1 thrust,1 pin\n8,62.07,62.05\nread at 20 °C,,\n"
    (tmp_path / "read.csv").write_text(sheet, encoding="utf-8")
    (tmp_path / "job.toml").write_text(JOB + CYLINDER.format("1"), encoding="utf-8")
    assert len(read(tmp_path / "job.toml")["1"]) == 2


def test_a_unit_in_the_heading_is_taken(tmp_path: Path) -> None:
    sheet = "depth [mm],1 thrust [in],1 pin [inch]\n8,2.4433,2.4430\n"
    (tmp_path / "read.csv").write_text(sheet, encoding="utf-8")
    (tmp_path / "job.toml").write_text(JOB + CYLINDER.format("1"), encoding="utf-8")
    assert {size for _, _, size in read(tmp_path / "job.toml")["1"]} == {6_205_982, 6_205_220}


@pytest.mark.parametrize(
    ("sheet", "says"),
    [
        ("depth,1 thrust,mean\n8,62.07,62.05\n", "are not known; found: mean"),
        ("depth,1 trust,1 pin\n8,62.07,62.05\n", "row 1, field 'readings': words of this sheet"),
        ("depth,1 trust,1 pin\n8,62.07,62.05\n", "(did you mean 'thrust'?)"),
        ("as found\n,1 thrust,1 pin\n8,62.07,62.05\n", "row 2: no heading says where the depths"),
        ("cylinder,1,,,\ndepth,thrust,pin,thrust,pin\n8,62.1,62.2,62.3,62.4\n", "two columns are"),
        ("depth,1 thrust,1 pin,1 pin\n8,62.07,62.05,62.1\n", "found: columns 3 and 4"),
        ("cylinder;axis;8;40\n1;thrust;62.1;62.2\n;thrust;62.1;62.2\n", "row 3: two rows are of"),
        ("depth,1 thrust,1 pin\n8,62.07,6O.05\n", "cylinder 1, depth 8, pin"),
        ("depth,1 thrust,1 pin\n8,62.07,0.05\n", "row 2, field 'readings'"),
        ("depth,1 thrust,1 pin\n8,62.07,0.05\n", "0.05 at cylinder 1, depth 8, pin"),
        ("depth,1 thrust,1 pin\n8,62.07,62.05,62.04\n", "neither depth, cylinder nor axis"),
        ("depth,1 thrust,1 pin\n,62.07,62.05\n", "depth"),
        ("depth,1 thrust,1 pin\n8,62.07,0.05\n", "diameters or dial deviations"),
        ("depth,1 thrust,pin\n8,62.07,62.05\n", "only some of these readings"),
        ("depth,3 thrust,3 pin\n8,62.07,62.05\n", "cylinder"),
        ("all in inches\ndepth,1 thrust,1 pin\n8,62.07,62.05\n", "another unit"),
        ("depth,1 thrust,1 pin\n8,62.07,a little\n", "not a number"),
        ("62.07\n62.05\n", "unknown column"),
        ("depth,1 x,1 y\n8,62.07,62.05\n", "are not known; found: x, y"),
    ],
)
def test_what_says_too_little_is_one_message(refused: Refused, sheet: str, says: str) -> None:
    assert says in refused(sheet)


def test_a_dial_grid_needs_the_zero(refused: Refused) -> None:
    sheet = "depth,1 thrust,1 pin\n8,0.07,0.05\n"
    assert "needs the gauge's zero" in refused(sheet)
    assert "readings_as" in refused(sheet, more='readings_as = "diameter"\n')


@pytest.mark.parametrize(
    "sheet",
    ["cylinder,depth,axis,diameter\n", "depth,1 thrust,1 pin\n", "cylinder,axis,10,40\n"],
)
def test_headings_alone_are_told_as_such(refused: Refused, sheet: str) -> None:
    assert "row 1: no readings stand below the headings" in refused(sheet)


@pytest.mark.parametrize(
    "sheet",
    [
        "cylinder,depth,axis,diameter\n1,10,thrust,62.31\n1,10,pin,\nCylinder,depth,axis,diameter\n"
        "1,40,thrust,62.30\n1,40,pin,62.29\n",
        ";1;\ndepth;thrust;pin\n10;62.31;\n;1;\ndepth;thrust;pin\n40;62.30;62.29\n",
        "cylinder,axis,10,40\n1,thrust,62.31,62.30\ncylinder,axis,10,40\n1,pin,,62.29\n",
    ],
)
def test_a_place_not_read_and_headings_once_more_are_passed_over(
    tmp_path: Path, sheet: str
) -> None:
    (tmp_path / "read.csv").write_text(sheet, encoding="utf-8")
    (tmp_path / "job.toml").write_text(JOB + CYLINDER.format("1"), encoding="utf-8")
    assert read(tmp_path / "job.toml") == {
        "1": {(1_000_000, 0, 6_231_000), (4_000_000, 0, 6_230_000), (4_000_000, 90, 6_229_000)}
    }
