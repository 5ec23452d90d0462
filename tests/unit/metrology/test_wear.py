"""Wear per rebuild: against the textbook's figures, a second program, and drawn wears."""

from __future__ import annotations

import random
from datetime import date
from math import sqrt
from statistics import mean, stdev

import pytest
from scipy.stats import t as student

from fitsolver.metrology.wear import estimated, wear_estimate, with_wear
from fitsolver.records.wear import LEAST_WEAR, EarlierRecord, WearEstimate
from tests.unit.rules import small

#: Standard uncertainty of a wear where nothing is told: two readings of a gauge of 0.002 mm.
UNTOLD = sqrt(2) * 200


def record(
    wear: int, year: int = 2020, left: int = 6_200_000, error: int | None = None
) -> EarlierRecord:
    return EarlierRecord(date=date(year, 3, 1), left=left, found=left + wear, uncertainty=error)


def test_of_one_wear_the_gauge_alone_tells() -> None:
    found = estimated([1_000], [50.0])
    assert (found.count, found.mean, found.uncertainty) == (1, 1_000, 50)
    assert found.most == pytest.approx(1_000 + student.ppf(0.95, 8) * 50 * sqrt(2), abs=1)


@pytest.mark.parametrize("wears", [[900, 1_300], [900, 1_300, 1_100, 1_700], [-40, 30, 20] * 9])
def test_of_several_their_scatter_counts_too(wears: list[int]) -> None:
    errors = [100.0 + i for i in range(len(wears))]
    found, n = estimated(wears, errors), len(wears)
    of_gauge = mean(error**2 for error in errors)
    pooled = sqrt((8 * of_gauge + (n - 1) * stdev(wears) ** 2) / (7 + n))
    assert (found.count, found.mean) == (n, round(mean(wears)))
    assert found.uncertainty == pytest.approx(pooled / sqrt(n))
    most = mean(wears) + student.ppf(0.95, 7 + n) * pooled * sqrt(1 + 1 / n)
    assert 0 <= found.most - most < 1 + 1e-6  # rounded up


def test_the_next_wear_is_below_the_most_as_often_as_stated() -> None:
    """Three drawn wears and a fourth, two thousand times: two standard errors are 1 %."""
    draw = random.Random(7)
    below, runs = 0, 2_000
    for _ in range(runs):
        wears = [round(draw.gauss(2_000, 200)) for _ in range(4)]
        below += wears[3] <= estimated(wears[:3], [200.0] * 3).most
    assert 0.93 < below / runs < 0.97


def test_records_tell_their_uncertainty_or_that_of_two_readings() -> None:
    assert wear_estimate(()) is None
    assert wear_estimate([record(1_000)]) == estimated([1_000], [UNTOLD])
    assert wear_estimate([record(1_000)], 50) == estimated([1_000], [sqrt(2) * 50])
    both = [record(1_000, error=70), record(1_200, 2021)]
    assert wear_estimate(both) == estimated([1_000, 1_200], [70, UNTOLD])


def test_a_bore_does_not_shrink() -> None:
    slip = round(4 * UNTOLD)
    assert not record(-slip).shrank and record(-slip - 1).shrank
    assert record(-81, error=20).shrank and not record(-80, error=20).shrank
    first = record(1_000)
    assert record(0, 2021, first.found - slip).follows(first)
    assert not record(0, 2021, first.found - slip - 1).follows(first)


def test_what_counts_of_one_of_several_and_of_none() -> None:
    facts = {"mean": 1_000, "uncertainty": 50.0, "most": 1_500}
    assert WearEstimate(count=1, **facts).per_rebuild == 1_000
    assert WearEstimate(count=2, **facts).per_rebuild == 1_500
    still = {"mean": -20, "uncertainty": 1.0, "most": 30}
    assert [WearEstimate(count=n, **still).per_rebuild for n in (1, 2)] == [LEAST_WEAR] * 2


def test_what_is_stated_outranks_the_records() -> None:
    records = (record(1_000), record(1_400, 2021, 6_210_000))
    job = with_wear(
        small.job(
            cylinders=(
                small.cylinder(name="1", earlier=records),
                small.cylinder(name="2", earlier=records, wear_per_rebuild=777),
                small.cylinder(name="3"),
            )
        )
    )
    told = wear_estimate(records)
    assert told is not None and told.most > 1_400
    assert [job.wear_for(c) for c in job.cylinders] == [told.most, 777, None]
    assert [job.wear_source(c) for c in job.cylinders] == ["earlier records", "cylinder", ""]
    stated = job.model_copy(update={"wear_per_rebuild": 555})
    assert [stated.wear_for(c) for c in stated.cylinders] == [555, 777, 555]
    assert [stated.wear_source(c) for c in stated.cylinders] == ["job", "cylinder", "job"]
    assert "earlier_wear" not in job.model_dump_json()
