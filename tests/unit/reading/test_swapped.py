"""Columns of depth and figure in each other's place: one refusal that says so."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.job_file import read_job
from fitsolver.usecases import files as service

from .files import HEAD, job_file, refusal

DEMO = Path(__file__).parents[3] / "catalogs_demo"
SAID = "stand in each other's place"


def refused(path: Path) -> str:
    return str(refusal(read_job, path))


def sheet_job(folder: Path, rows: str, column: str = "diameter", lines: str = "") -> Path:
    (folder / "sheet.csv").write_text(f"cylinder,depth,axis,{column}\n{rows}", encoding="utf-8")
    cylinder = f'[[cylinder]]\nname = "1"\nmaterial = "iron"\n{lines}readings_file = "sheet.csv"\n'
    return job_file(folder, HEAD + cylinder)


def inline_job(folder: Path, rows: str) -> Path:
    cylinder = f'[[cylinder]]\nname = "1"\nmaterial = "iron"\nreadings = [{rows}]\n'
    return job_file(folder, HEAD + cylinder)


def test_a_sheet_with_swapped_columns(tmp_path: Path) -> None:
    rows = "1,62.31,thrust,10\n1,62.30,pin,10\n1,62.31,thrust,40\n1,62.29,pin,70\n"
    said = refused(sheet_job(tmp_path, rows))
    assert f"the depth and the diameter {SAID} (and 3 more rows)" in said
    assert "sheet.csv" in said and "2" in said
    assert "found: depth 62.31, diameter 10" in said


def test_rows_of_the_job_file(tmp_path: Path) -> None:
    rows = '[62.31, "thrust", 10], [62.30, "pin", 10], [62.28, "thrust", 70]'
    said = refused(inline_job(tmp_path, rows))
    assert f"the depth and the size {SAID}" in said
    assert "cylinder '1', reading 1" in said


def test_a_swapped_dial(tmp_path: Path) -> None:
    rows = "1,0.05,thrust,10\n1,0.04,pin,10\n1,0.03,thrust,40\n"
    said = refused(sheet_job(tmp_path, rows, "dial", "zero = 62.25\n"))
    assert f"the depth and the dial {SAID}" in said


def test_one_swapped_row(tmp_path: Path) -> None:
    rows = "1,10,thrust,62.31\n1,10,pin,62.30\n1,62.29,thrust,40\n1,40,pin,62.28\n"
    said = refused(sheet_job(tmp_path, rows))
    assert f"the depth and the diameter {SAID}" in said and "more row" not in said
    assert "row 4" in said


@pytest.mark.parametrize(
    "rows",
    [
        # one depth only, and depths a millimetre apart
        "1,62,thrust,62.31\n1,62,pin,62.30\n",
        "1,62,thrust,62.31\n1,63,pin,62.30\n1,62.5,thrust,62.3\n",
        # a depth that is about the bore
        "1,10,thrust,62.31\n1,40,thrust,62.30\n1,62.3,thrust,62.3\n",
    ],
)
def test_readings_in_their_places(tmp_path: Path, rows: str) -> None:
    assert read_job(sheet_job(tmp_path, rows)).cylinders[0].readings


def test_a_slip_of_a_figure_is_no_swap(tmp_path: Path) -> None:
    rows = "1,62,thrust,6.231\n1,62,pin,62.30\n1,40,thrust,62.3\n1,40,pin,62.3\n"
    path = sheet_job(tmp_path, rows)
    try:
        read_job(path)
    except InputError as error:
        assert SAID not in str(error)


@pytest.mark.parametrize("name", ["pump/job.toml", "pump/worn_out.toml", "launch/job.toml"])
def test_every_demonstration_swapped(name: str, tmp_path: Path) -> None:
    """Each sheet of readings with its columns swapped."""
    demo = DEMO / name
    for file in (demo, demo.with_name("family.toml")):
        (tmp_path / file.name).write_bytes(file.read_bytes())
    swap = {"depth": "FIGURE", "dial": "depth", "diameter": "depth"}
    for sheet in demo.parent.glob("*readings.csv"):
        head, _, rows = sheet.read_text(encoding="utf-8").partition("\n")
        figure = "dial" if "dial" in head else "diameter"
        head = re.sub("depth|dial|diameter", lambda word: swap[word[0]], head)
        text = f"{head.replace('FIGURE', figure)}\n{rows}"
        (tmp_path / sheet.name).write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=SAID):
        service.bore(tmp_path / demo.name)
