"""What the book hands to a job: records since the bore was last new, and what counts of them."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from fitsolver.book.wear import earlier_records, earlier_text, told_apart, with_earlier
from fitsolver.reading.job_file import read_job
from fitsolver.reading.job_text import job_text
from fitsolver.records.book import Visit
from fitsolver.records.wear import EarlierRecord

from .made import DAY, cylinder, job

YEAR = dt.timedelta(days=365)
LEFT = 6_200_000


def visits(*wears: int | None, error: float | None = None) -> list[Visit]:
    """Visits a year apart with these wears, as a history has them; each leaves 0.01 mm more."""
    found = []
    for number, wear in enumerate(wears):
        left = LEFT + number * 1_000
        known = {} if wear is None else {"wear": wear, "found_largest": left + wear}
        day = DAY + number * YEAR
        found.append(Visit(date=day, key="0" * 32, wear_uncertainty=error, **known))
    return found


def record(wear: int, number: int, error: int | None = None) -> EarlierRecord:
    left, day = LEFT + number * 1_000, DAY + number * YEAR
    return EarlierRecord(date=day, left=left, found=left + wear, uncertainty=error)


def test_a_record_for_each_wear() -> None:
    assert earlier_records(visits(None, None)) == ()
    assert earlier_records(visits(None, 1_000, None, 900)) == (record(1_000, 1), record(900, 3))
    assert earlier_records(visits(None, 1_000, error=49.2)) == (record(1_000, 1, 50),)


def test_a_new_bore_begins_its_record_anew() -> None:
    came = visits(5_000, -20_000, 1_000, error=100)
    assert [r.date for r in earlier_records(came)] == [DAY + 2 * YEAR]
    # A little below nothing is the gauge, not a new bore.
    assert [r.wear for r in earlier_records(visits(1_000, -200, error=100))] == [1_000, -200]


def test_a_new_bore_that_left_begins_it_too() -> None:
    first, second = visits(5_000, 1_000)
    relined = second.model_copy(update={"found_largest": LEFT - 50_000 + 1_000})
    assert [r.left for r in earlier_records([first, relined])] == [LEFT - 50_000]


def test_of_two_on_one_day_the_first_counts() -> None:
    first, second = visits(1_000, 200)
    again = second.model_copy(update={"date": first.date})
    assert earlier_records([first, again]) == (record(1_000, 0),)


def test_a_job_carries_its_own_records_or_the_book_s() -> None:
    own = cylinder("B", earlier=(record(700, 0),))
    task = job(cylinder("A"), own, cylinder("C"))
    known = {"1": (record(900, 0), record(800, 1)), "2": (record(900, 0),)}
    assert [c.earlier for c in with_earlier(task, known).cylinders] == [
        known["1"],
        own.earlier,
        (),
    ]
    assert list(told_apart(task, known)) == [
        "Cylinder 1: the 2 earlier records are the book's.",
        "Cylinder 2: the earlier records in the job count, not the earlier record of the book.",
    ]
    stated = task.model_copy(update={"wear_per_rebuild": 500})
    assert list(told_apart(stated, {"1": known["1"]})) == [
        "Cylinder 1: the wear that the job states counts, not the 2 earlier records of the book."
    ]


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_what_is_handed_over_reads_back(tmp_path: Path, unit: str) -> None:
    task = job(cylinder("A"), unit=unit)
    known = {"1": (record(901, 0, 51), record(800, 1))}
    file = tmp_path / "job.toml"
    file.write_text(job_text(task) + earlier_text(task, known), encoding="utf-8")
    assert read_job(file).cylinders[0].earlier == known["1"]
