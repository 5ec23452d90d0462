"""Earlier records in a job file: read, written again, and what is refused."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.job_file import read_job
from fitsolver.reading.job_text import job_text
from fitsolver.records.job import Job
from fitsolver.records.wear import EarlierRecord

from .files import CYLINDER, HEAD, job_file

FIRST = "[[cylinder.earlier]]\ndate = 2012-05-14\nleft = 62.012\nfound = 62.021\n"
SECOND = (
    '[[cylinder.earlier]]\ndate = 2017-09-02\nleft = 62.03\nfound = 62.043\nuncertainty = "3 um"\n'
)


def read(folder: Path, text: str) -> Job:
    return read_job(job_file(folder, HEAD + CYLINDER + text))


def test_records_of_a_cylinder(tmp_path: Path) -> None:
    job = read(tmp_path, FIRST + SECOND)
    assert job.cylinders[0].earlier == (
        EarlierRecord(date=date(2012, 5, 14), left=6_201_200, found=6_202_100),
        EarlierRecord(date=date(2017, 9, 2), left=6_203_000, found=6_204_300, uncertainty=300),
    )
    again = read_job(job_file(tmp_path, job_text(job), "again.toml"))
    assert again.cylinders == job.cylinders


def test_the_gauge_may_say_a_little_less(tmp_path: Path) -> None:
    """Four standard uncertainties of two readings of 0.002 mm: 0.0113 mm."""
    text = FIRST.replace("62.021", "62.001") + SECOND
    assert read(tmp_path, text).cylinders[0].earlier[0].wear == -1_100


@pytest.mark.parametrize(
    ("was", "now", "field", "says"),
    [
        ("2017-09-02", "2012-05-14", "date", "not after the day of the record before, 2012-05-14"),
        ("2017-09-02", "2011-05-14", "date", "not after the day"),
        ("2017-09-02", '"2017-09-02"', "date", "not a date"),
        ("date = 2017-09-02", "", "date", "missing"),
        ("62.043", "62.017", "found", "had left larger, with 62.030 mm"),
        ("62.043", "6.2043", "found", "had left larger"),
        ("62.043", "620.43", "found", "no bore wears so far"),
        ("62.03\n", "62.008\n", "left", "found larger before, with 62.021 mm"),
        ("left = 62.03\n", "", "left", "missing"),
        ("found = 62.043\n", "", "found", "missing"),
        ('"3 um"', "0", "uncertainty", ""),
        ("found = ", "back = ", "back", ""),
    ],
)
def test_what_is_refused(tmp_path: Path, was: str, now: str, field: str, says: str) -> None:
    assert SECOND.count(was) == 1
    with pytest.raises(InputError) as caught:
        read(tmp_path, FIRST + SECOND.replace(was, now))
    error = caught.value
    assert error.field == field
    assert says in error.message
    assert error.allowed
    assert "[[earlier]] 2" in str(error)
