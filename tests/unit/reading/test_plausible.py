"""Sizes that cannot be of an engine are refused; what a slip may have meant."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.reading.job_file import read_job
from fitsolver.reading.plausible import check_readings, meant

from .files import HEAD, catalogue_files, job_file


def _inline(folder: Path, *cylinders: str, units: str = "mm") -> Path:
    head = HEAD.replace('"mm"', f'"{units}"')
    return job_file(
        folder,
        head
        + "".join(
            f'[[cylinder]]\nname = "{number}"\nmaterial = "iron"\n{lines}\n'
            for number, lines in enumerate(cylinders, start=1)
        ),
    )


def test_nothing_meant() -> None:
    assert meant("6.21 mm", 6_210_000, "mm") == ""
    assert meant("1.5", 6_210_000, "mm") == ""


@pytest.mark.parametrize(
    ("typed", "zero", "near", "found"),
    [
        ("6.21", 0, 6_210_000, "62.1"),
        ("2.445", 0, 6_210_000, "62.103"),
        ("26.13", 0, 6_213_000, "62.13"),
        ("-0.12", 6_200_000, 6_212_000, "0.12"),
        ("0.21", 6_200_000, 6_212_000, "0.12"),
        ("0.8", 6_200_000, 6_208_000, "0.08"),
    ],
)
def test_what_was_meant(typed: str, zero: int, near: int, found: str) -> None:
    assert meant(typed, near, "mm", zero, within=500) == found


@pytest.mark.parametrize(
    ("lines", "field", "found"),
    [
        ('readings = [[10, "pin", 40]]', "reading at depth 10.00 mm, pin", "40.000 mm"),
        ('readings = [[10, "pin", 80]]', "reading at depth 10.00 mm, pin", "80.000 mm"),
        ("finished_size = 40", "finished_size", "40.000 mm"),
        ('readings = [[10, "pin", 62.1]]\nunworn = 6.2', "unworn", "6.200 mm"),
        ('readings = [[10, "pin", 62.1]]\nbore_limit = 6.31', "bore_limit", "6.310 mm"),
        ('readings = [{depth = 1, axis = "pin", size = 62}]\nzero = 6', "zero", "6.000 mm"),
    ],
)
def test_sizes_of_another_engine(tmp_path: Path, lines: str, field: str, found: str) -> None:
    catalogue = read_catalogue(catalogue_files(tmp_path))
    job = read_job(_inline(tmp_path, lines))
    with pytest.raises(InputError) as caught:
        check_readings(job, catalogue)
    error = caught.value
    assert (error.row, error.field, error.found) == ("cylinder '1'", field, found)
    assert error.allowed == "49.600 mm to 74.700 mm"  # 62 less 20 %, 62.25 and 20 %


def test_bore_limit_of_the_engine(tmp_path: Path) -> None:
    catalogue = read_catalogue(catalogue_files(tmp_path))
    path = _inline(tmp_path, 'readings = [[10, "pin", 62.1]]')
    check_readings(read_job(path), catalogue)
    text = path.read_text(encoding="utf-8") + "[engine]\nbore_limit = 631\n"
    with pytest.raises(InputError, match="bore_limit"):
        check_readings(read_job(job_file(tmp_path, text)), catalogue)
