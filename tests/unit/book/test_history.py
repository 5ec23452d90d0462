"""Visits, wear and cautions, from entries alone."""

from __future__ import annotations

import datetime as dt
from math import hypot
from typing import Any

import pytest

from fitsolver.book.entries import keyed
from fitsolver.book.history import history
from fitsolver.book.lines import bore_lines
from fitsolver.records.book import BookEntry, BookKind
from fitsolver.records.measuring import Instrument, Measuring

from .made import BORE, DAY, cylinder, job

YEAR = dt.timedelta(days=365)


def entry(kind: BookKind, day: dt.date, largest: int | None, **more: Any) -> BookEntry:
    of = more.pop("job", None)
    line = {"marking": "A", "largest": largest, "smallest": largest, "material": "iron", **more}
    return keyed(kind=kind, date=day, job=of, lines=(line,), documents={kind: {}})


def test_wear_is_what_came_in_less_what_had_left() -> None:
    first = entry("job", DAY, 100_000, uncertainty=30.0)
    left = entry("final", DAY, 120_000, job=first.key, passes=True, uncertainty=40.0)
    second = entry("job", DAY + YEAR, 121_000, uncertainty=30.0)
    third = entry("job", DAY + 2 * YEAR, 122_000, uncertainty=30.0)
    found = history("A", [first, left, second, third])
    assert [visit.wear for visit in found.visits] == [None, 1_000, None]
    assert found.visits[1].wear_uncertainty == pytest.approx(hypot(40, 30))
    assert found.visits[0].left_by == "final check"
    # The second left without a size: what the third lost is not known.
    unknown, of_one = found.cautions
    assert str(DAY + YEAR) in unknown and "of one earlier record" in of_one
    assert found.wear is not None and (found.wear.count, found.wear.mean) == (1, 1_000)


def test_wear_without_a_known_uncertainty_has_none() -> None:
    first = entry("final", DAY, 120_000, passes=True)
    second = entry("job", DAY + YEAR, 121_000, uncertainty=30.0)
    visit = history("A", [first, second]).visits[1]
    assert (visit.wear, visit.wear_uncertainty) == (1_000, None)


def test_a_bore_that_came_in_smaller_is_told() -> None:
    first = entry("final", DAY, 120_000, passes=True)
    second = entry("job", DAY + YEAR, 118_000)
    found = history("A", [first, second])
    assert found.visits[1].wear == -2_000
    assert "0.020 mm smaller" in found.cautions[0]


def test_a_bore_that_was_not_cut_left_as_it_came() -> None:
    first = entry("job", DAY, 120_000, machined=False)
    second = entry("job", DAY + YEAR, 120_500)
    found = history("A", [first, second])
    assert (found.visits[0].left_by, found.visits[1].wear) == ("not cut", 500)


def test_the_check_counts_before_the_last_pass_and_the_later_check_before_the_first() -> None:
    of = entry("job", DAY, 100_000)
    passed = entry("pass", DAY, 110_000, job=of.key)
    checks = [entry("final", DAY, size, job=of.key, passes=size > 1) for size in (115_000, 116_000)]
    visit = history("A", [of, passed, *checks]).visits[0]
    assert (visit.left_largest, visit.passes, visit.holds) == (116_000, 1, True)


def test_sizes_at_20_degrees_and_their_uncertainty_come_from_the_job() -> None:
    gauge = Instrument(kind="bore gauge", standard_uncertainty=100, basis="invented")
    plain, measured = job(), job(measuring=Measuring(instruments=(gauge,)))
    assert bore_lines(plain)[0].uncertainty is None
    known = bore_lines(measured)[0].uncertainty
    assert known is not None and known >= 100.0
    allowed = job(cylinder(form_allowance=70))
    assert bore_lines(allowed)[0].largest == BORE  # as it was read
