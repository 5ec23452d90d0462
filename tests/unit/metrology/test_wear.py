"""Wear per rebuild: against the textbook's figures, a second program, and drawn wears."""

from __future__ import annotations

import random
from datetime import date
from math import log, sqrt
from statistics import mean, stdev

import numpy as np
import pytest
from scipy.stats import linregress
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


def predicted(wears: list[float]) -> float:
    """The most of the next wear by matrices: a regression with a conjugate prior."""
    n = len(wears)
    y = np.log(wears)
    x = np.column_stack([np.ones(n), np.arange(-n, 0)])  # the next one is at 0
    prior = np.diag([0, 1 / 0.6**2])
    spread = np.linalg.inv(x.T @ x + prior)
    fitted = spread @ x.T @ y
    degrees = 3 + n - 1
    squares = 3 / 9 + y @ y - fitted @ (x.T @ x + prior) @ fitted
    off = student.ppf(0.95, degrees) * sqrt(squares / degrees * (1 + spread[0, 0]))
    return float(np.exp(fitted[0] + off))


@pytest.mark.parametrize(
    "wears", [[1_000], [900, 1_300], [900, 1_300, 1_100, 1_700], [800, 790, 820] * 9]
)
def test_the_next_by_a_line_through_the_logarithms(wears: list[int]) -> None:
    errors = [10.0 + i for i in range(len(wears))]
    found, n = estimated(wears, errors), len(wears)
    gauge = sqrt(mean(error**2 for error in errors))
    scatter = max(gauge, stdev(wears) if n > 1 else 0)
    assert (found.count, found.mean) == (n, round(mean(wears)))
    assert found.uncertainty == pytest.approx(scatter / sqrt(n))
    assert 0 <= found.most - predicted([float(wear) for wear in wears]) < 1 + 1e-6  # rounded up


@pytest.mark.parametrize("wears", [[20], [-40, 30, 20], [-40, 30, 20] * 9])
def test_never_narrower_than_the_gauge(wears: list[int]) -> None:
    found, n = estimated(wears, [200.0] * len(wears)), len(wears)
    least = mean(wears) + 1.645 * 200 * sqrt(1 + 1 / n)
    assert found.most >= least - 1e-6
    counted = [max(wear, 200.0) for wear in wears]  # the gauge cannot tell less
    assert 0 <= found.most - max(least, predicted(counted)) < 1 + 1e-6


@pytest.mark.parametrize("seed", range(40))
def test_a_trend_is_told_as_by_the_textbook(seed: int) -> None:
    draw = random.Random(seed)
    n, growth = draw.randint(3, 8), draw.choice([0, 100, 300])
    wears = [round(draw.gauss(1_000 + growth * i, 150)) for i in range(n)]
    line = linregress(range(n), wears, alternative="greater")
    assert estimated(wears, [50.0] * n).growing == (line.pvalue < 0.05)
    assert not estimated(wears[:2], [50.0] * 2).growing


@pytest.mark.parametrize("count", [1, 2, 3, 5, 8])
@pytest.mark.parametrize(("varying", "growth"), [(0.1, 0), (0.2, 0.1), (0.33, 0), (0.2, 0.3)])
def test_the_next_wear_is_below_the_most_as_often_as_stated(
    count: int, varying: float, growth: float
) -> None:
    """Drawn wears and the next, two thousand times: 2.5 standard errors are 1.2 %."""
    draw = random.Random(f"{count} {varying} {growth}")
    deviation = sqrt(log(1 + varying**2))
    below, runs = 0, 2_000
    for _ in range(runs):
        true = [
            2_000 * (1 + growth * i) * draw.lognormvariate(-(deviation**2) / 2, deviation)
            for i in range(count + 1)
        ]
        read = [round(draw.gauss(wear, 200)) for wear in true[:count]]
        below += true[count] <= estimated(read, [200.0] * count).most
    assert below / runs > 0.95 - 0.012


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
    assert [WearEstimate(count=n, **facts).per_rebuild for n in (1, 2)] == [1_500] * 2
    assert [WearEstimate(count=n, **facts).assumed for n in (1, 2, 3)] == [True, True, False]
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
