"""The table `windows` of a catalogue, and windows of a job tied to another."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.reading.job_file import read_job
from fitsolver.reading.job_text import job_text
from fitsolver.records.windows import find_window
from tests.unit.reading.files import CATALOGUE, CYLINDER, HEAD, TABLES, job_file

HEADER = "number,fit,use,groove,low,high,per_bore,of,times,source\n"


def folder(tmp_path: Path, rows: str) -> Path:
    (tmp_path / "catalogue.toml").write_text(CATALOGUE)
    for name, text in TABLES.items():
        (tmp_path / name).write_text(text)
    rings = TABLES["rings.csv"] + "R-2,2,62,0.2,0.3,1.97,1.98,0.5\n"
    (tmp_path / "rings.csv").write_text(rings)
    (tmp_path / "windows.csv").write_text(HEADER + rows)
    return tmp_path


def test_each_part_names_its_windows(tmp_path: Path) -> None:
    found = read_catalogue(
        folder(
            tmp_path,
            "P-0; P-25,clearance,,,0.10,0.13,,,,box\nR-0,end_gap,,1,0.0045,,yes,,,leaflet\n"
            "R-2,end_gap,street,,,,,R-0,1.25,step 3\n",
        )
    )
    stated = {part.number: part.stated for part in (*found.pistons, *found.rings)}
    assert stated == {"P-0": ("1",), "P-25": ("1",), "R-0": ("2",), "R-2": ("3",)}
    windows = {one.window.part: one for one in found.windows}
    assert (windows["1"].window.low, windows["1"].window.high) == (10_000, 13_000)
    assert windows["1"].window.owner == "part"
    # 1.25 x 0.0045 of the bore = 0.005625
    assert (windows["3"].window.low, windows["3"].window.per_bore) == (5_625_000, True)
    assert (windows["3"].use, windows["3"].window.source) == ("street", "step 3 (1.25 x R-0)")
    bare = folder(tmp_path, "P-0,clearance,,,0.10,0.13,,,,box\n")
    assert read_catalogue(bare).fingerprint != found.fingerprint


@pytest.mark.parametrize(
    ("row", "message", "field"),
    [
        ("P-26,clearance,,,0.1,,,,,box", r"unknown piston \(did you mean 'P-25'", "number"),
        ("R-0,clearance,,,0.1,0.2,,,,box", "unknown piston", "number"),
        ("P-0,end_gap,,,0.1,0.2,,,,box", "unknown ring", "number"),
        ("P-0,squish,,,0.1,0.2,,,,box", "unknown word", "fit"),
        ("P-0,clearance,,1,0.1,0.2,,,,box", "no groove of a ring", "groove"),
        ("R-0,end_gap,,2,0.1,0.2,,,,box", "not for this groove", "groove"),
        ("P-0,clearance,,,0.2,0.1,,,,box", "lowest value is above its highest", "low"),
        ("P-0,clearance,,,,,,,,box", "needs a lowest or a highest", "low"),
        ("P-0,clearance,,,0.1,0.2,,,,", "this cell is empty", "source"),
        ("P-0,clearance,,,0.1,0.2,perhaps,,,box", "unknown word", "per_bore"),
        ("R-2,end_gap,,,,,,R-0,,box", "both a part and a factor", "times"),
        ("R-2,end_gap,,,0.1,,,R-0,1.25,box", "tied to another and has edges", "of"),
        ("R-2,end_gap,,,,,,R-0,1.25,box", "no window of its own", "of"),
        ("R-2,end_gap,,,,,,R-9,1.25,box", "unknown part", "of"),
        ("R-0,end_gap,,,0.1,,,,,box\nR-2,end_gap,,,,,,R-0,11,box", "out of range", "times"),
        ("P-0,clearance,,,0.1,,,,,box\nP-0,clearance,,,0.2,,,,,box", "two windows", "number"),
    ],
)
def test_a_row_that_is_wrong_is_one_message(
    tmp_path: Path, row: str, message: str, field: str
) -> None:
    with pytest.raises(InputError, match=message) as refused:
        read_catalogue(folder(tmp_path, row + "\n"))
    assert refused.value.field == field
    assert Path(refused.value.file).name == "windows.csv"


FIRST = '[[window]]\nfit = "end_gap"\ngroove = 1\nlow = 0.0045\nhigh = 0.0071\nper_bore = true\n'
SECOND = '[[window]]\nfit = "end_gap"\ngroove = 2\n'


def job_with(tmp_path: Path, windows: str) -> Path:
    return job_file(tmp_path, HEAD + windows + CYLINDER)


def test_the_second_gap_is_so_many_times_the_first(tmp_path: Path) -> None:
    job = read_job(job_with(tmp_path, FIRST + SECOND + "times = 1.25\nof_groove = 1\n"))
    second = find_window(job.windows, "end_gap", 2)
    assert second is not None
    assert (second.low, second.high, second.per_bore) == (5_625_000, 8_875_000, True)
    assert second.source == "1.25 x groove 1"
    saved = read_job(job_file(tmp_path, job_text(job), "saved.toml"))
    assert saved.windows == job.windows


def test_edges_are_rounded_inwards(tmp_path: Path) -> None:
    first = '[[window]]\nfit = "end_gap"\ngroove = 1\nlow = 0.00001\nhigh = 0.00003\n'
    job = read_job(job_with(tmp_path, first + SECOND + "times = 1.25\nof_groove = 1\n"))
    second = find_window(job.windows, "end_gap", 2)
    assert second is not None
    assert (second.low, second.high) == (2, 3)


@pytest.mark.parametrize(
    ("keys", "message"),
    [
        ("times = 1.25\n", "this key is missing"),
        ("of_groove = 1\n", "this key is missing"),
        ("times = 1.25\nof_groove = 3\n", "this groove has no window"),
        ("times = 1.25\nof_groove = 2\n", "no window"),
        ("times = 0\nof_groove = 1\n", "out of range"),
        ("times = 1.00001\nof_groove = 1\n", "more than 4 decimals"),
        ("times = 1.25\nof_groove = 1\nlow = 0.2\n", "tied to another and has edges"),
        ("times = 1.25\nof_groove = 1\nper_bore = true\n", "as the one that it is tied to"),
    ],
)
def test_a_tie_that_is_wrong_is_one_message(tmp_path: Path, keys: str, message: str) -> None:
    with pytest.raises(InputError, match=message):
        read_job(job_with(tmp_path, FIRST + SECOND + keys))


def test_a_cylinders_window_yields_to_none(tmp_path: Path) -> None:
    text = CYLINDER + '[[cylinder.window]]\nfit = "clearance"\nlow = 0.05\nyields = true\n'
    with pytest.raises(InputError, match="yields to none"):
        read_job(job_file(tmp_path, HEAD + text))
