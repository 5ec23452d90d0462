"""What a full book costs beside an empty one, as ratios of two things measured side by side."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path
from statistics import median
from time import perf_counter

import pytest

from fitsolver import book
from fitsolver.book.book import Book
from fitsolver.book.entries import key_of
from tests.unit.book.made import BORE, DAY, cylinder, job

pytestmark = pytest.mark.bench

ENTRIES, PAIRS = 3_000, 40
#: An entry is found by its index, so a full book may cost little more than an empty one.
MOST = 2.0


def seconds(shop: Book, number: int) -> tuple[float, float]:
    """Time adding a job to a book, and asking for its history."""
    task = job(cylinder(f"timed {number}", BORE + number))
    start = perf_counter()
    shop.add_job(task, date=DAY)
    middle = perf_counter()
    shop.history(f"timed {number}")
    return middle - start, perf_counter() - middle


def test_adding_and_history_do_not_grow_with_the_book(tmp_path: Path) -> None:
    with book.open(str(tmp_path / "full.sqlite")) as full:
        with book.open(str(tmp_path / "source.sqlite")) as source:
            source.add_job(job(cylinder("first")), date=DAY)
            head, line = source.export().splitlines()
        _fill(full, head, line)
        with book.open(str(tmp_path / "empty.sqlite")) as empty:
            times = [(seconds(full, n), seconds(empty, n)) for n in range(PAIRS)]
        for what, place in (("adding", 0), ("history", 1)):
            ratio = median(one[place] / other[place] for one, other in times)
            print(f"{what}: {ratio:.2f} x at {ENTRIES} entries")
            assert ratio < MOST, what
        start = perf_counter()
        assert len(full.export().splitlines()) == 1 + ENTRIES + PAIRS
        print(f"export of {ENTRIES} entries: {perf_counter() - start:.2f} s")
        start = perf_counter()
        assert len(full.search("timed 39").lines) == 1
        print(f"search: {perf_counter() - start:.3f} s")


def _fill(full: Book, head: str, line: str) -> None:
    """Put many jobs of as many cylinders into a book, in one import."""

    lines = [head]
    for number in range(ENTRIES):
        content = json.loads(line)
        content["date"] = (DAY + dt.timedelta(days=number % 3_000)).isoformat()
        content["lines"][0]["marking"] = f"cylinder {number}"
        content["key"] = key_of(content)
        lines.append(json.dumps(content))
    full.import_(lines)
