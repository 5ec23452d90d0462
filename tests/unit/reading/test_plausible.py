"""Readings that cannot be meant are refused, never used silently."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.errors import InputError
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.reading.job_file import read_job
from fitsolver.reading.plausible import check_readings, implausible, meant

from .files import HEAD, catalogue_files, job_file, refusal

SHEET = (
    "cylinder,depth,axis,diameter\n1,10,thrust,62.11\n1,10,pin,{odd}\n1,40,thrust,62.08\n"
    "1,40,pin,62.07\n"
)


def _job(folder: Path, odd: str, lines: str = "") -> Path:
    (folder / "r.csv").write_text(SHEET.format(odd=odd), encoding="utf-8")
    return job_file(
        folder,
        f'{HEAD}[[cylinder]]\nname = "1"\nmaterial = "iron"\nreadings_file = "r.csv"\n{lines}',
    )


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


@pytest.mark.parametrize(
    ("odd", "perhaps"),
    [
        ("6.21", "62.1"),
        ("621", "62.1"),
        ("2.445", "62.103"),
        ("63.21", ""),
        ("26.13", "62.13"),
        ("0.6213", "62.13"),
        ("99", ""),
    ],
)
def test_a_slip_is_refused_with_what_it_may_have_meant(
    tmp_path: Path, odd: str, perhaps: str
) -> None:
    error = refusal(read_job, _job(tmp_path, odd))
    assert (error.file, error.row, error.field) == (str(tmp_path / "r.csv"), 3, "diameter")
    assert error.found == odd
    assert "accept_outliers" in error.allowed
    assert (f"was {perhaps} meant?" in error.message) == bool(perhaps)


def test_the_refusal_shown_in_the_docs_is_the_real_one(tmp_path: Path) -> None:
    page = Path(__file__).parents[3] / "docs" / "formats.md"
    message = str(refusal(read_job, _job(tmp_path, "6.21")))
    assert message.replace(str(tmp_path / "r.csv"), "readings.csv") in page.read_text("utf-8")


def test_it_is_taken_when_the_job_says_so(tmp_path: Path) -> None:
    job = read_job(_job(tmp_path, "63.21", "accept_outliers = true"))
    assert max(r.size for r in job.cylinders[0].readings) == 6_321_000
    again = read_job(_job(tmp_path, "63.21"), accept_outliers=True)
    assert again.cylinders == job.cylinders


@pytest.mark.parametrize("odd", ["62.31", "61.90", "62.11"])
def test_wear_is_not_a_slip(tmp_path: Path, odd: str) -> None:
    assert len(read_job(_job(tmp_path, odd)).cylinders[0].readings) == 4


def test_a_dial_slip(tmp_path: Path) -> None:
    rows = '[[5, "pin", 0.09], [20, "pin", 0.08], [30, "pin", 0.8], [40, "pin", 0.08]]'
    error = refusal(
        read_job, _inline(tmp_path, f'readings_as = "dial"\nzero = 62.2\nreadings = {rows}')
    )
    assert (error.row, error.field, error.found) == ("cylinder '1', reading 3", "dial", "0.8")
    assert "was 0.08 meant?" in error.message


def test_neighbours_in_other_cylinders(tmp_path: Path) -> None:
    """One reading a cylinder: only the others of the job can tell."""
    cylinders = [f'readings = [[10, "pin", {size}]]' for size in ("62.1", "6.21", "62.2")]
    error = refusal(read_job, _inline(tmp_path, *cylinders))
    assert error.row == "cylinder '2', reading 1"
    assert "62.1" in error.message
    oversize = [f'readings = [[10, "pin", {size}]]' for size in ("62.1", "64.0")]
    assert len(read_job(_inline(tmp_path, *oversize)).cylinders) == 2


def test_inches(tmp_path: Path) -> None:
    rows = '[[1, "pin", 3.501], [2, "pin", 3.5013], [3, "pin", 35.01], [4, "pin", 3.5]]'
    error = refusal(read_job, _inline(tmp_path, f"readings = {rows}", units="in"))
    assert "was 3.501 meant?" in error.message


def test_bounds_are_those_documented() -> None:
    near = [6_200_000, 6_200_000, 6_200_000, 6_231_000]  # 0.5 % is 31 000 ticks
    assert not list(implausible({"1": near}))
    assert [odd.position for odd in implausible({"1": [*near[:3], 6_231_001]})] == [3]
    rough = [6_200_000, 6_205_000, 6_195_000, 6_239_999]  # usual distance 5 000, eight times
    assert not list(implausible({"1": rough}))
    assert list(implausible({"1": [*rough[:3], 6_240_001]}))
    assert not list(implausible({"1": [5_940_000], "2": [6_600_000]}))
    assert list(implausible({"1": [5_939_999], "2": [6_600_000]}))
    assert not list(implausible({"1": [6_000_000]}))
    assert not list(implausible({}))


def test_nothing_meant() -> None:
    assert meant("6.21 mm", 6_210_000, "mm") == ""
    assert meant("1.5", 6_210_000, "mm") == ""


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
