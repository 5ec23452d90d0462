"""How far the next pass may go."""

from __future__ import annotations

from math import sqrt
from statistics import mean

import pytest
from scipy import stats

from fitsolver.at_hone.advice import GAUGE_DEGREES, Checks, Noise, next_step
from tests.bench.simulated_hone import hone_many

NOISE = Noise(200.0, 70.0)


def straight(*counts: int, rate: float = 100.0, spread: float = 300.0) -> Checks:
    """Checks without noise: so much a stroke everywhere."""
    mean = [rate * count for count in counts]
    return Checks(counts, [m - spread / 2 for m in mean], [m + spread / 2 for m in mean], mean)


def test_no_rate_no_strokes() -> None:
    assert next_step(straight(0), 10_000, 12_000, NOISE, 0.05) is None
    assert next_step(straight(7, 7), 10_000, 12_000, NOISE, 0.05) is None
    assert next_step(straight(0, 10, rate=0.0), 10_000, 12_000, NOISE, 0.05) is None


def test_wide_window_goes_to_the_lowest_size() -> None:
    """From -150 + 100 x 60 to 10 000 are 41.5 strokes."""
    step = next_step(straight(0, 20, 60), 10_000, 20_000, NOISE, 0.05)
    assert step is not None and (step.count, step.whole) == (42, True)


@pytest.mark.parametrize("counts", [(0, 60), (0, 10, 20, 30)])
def test_half_of_what_is_left_while_the_line_is_short(counts: tuple[int, ...]) -> None:
    step = next_step(straight(*counts), 10_000, 90_000, NOISE, 0.05)
    wanted = -(-(10_150 - 100 * counts[-1]) // 100)
    assert step is not None and (step.count, step.whole) == (wanted // 2, False)


@pytest.mark.parametrize("risk", [0.01, 0.05, 0.2])
@pytest.mark.parametrize("high", [10_600, 10_900, 11_500])
def test_the_upper_limit_stays_below_and_one_stroke_more_does_not(high: int, risk: float) -> None:
    """The limit written out again, with scipy's quantile; the scatter is the gauge's alone."""
    counts = (0, 30, 60)
    step = next_step(straight(*counts), 10_200, high, NOISE, risk)
    factor = stats.t.ppf(1 - risk, GAUGE_DEGREES + 1)
    scatter = sqrt(GAUGE_DEGREES * 200.0**2 / (GAUGE_DEGREES + 1))

    def upper(count: int) -> float:
        further = 1 + 1 / 3 + (60 + count - 30) ** 2 / 1_800
        return 100.0 * (60 + count) + 150 + factor * scatter * sqrt(further)

    best = max(k for k in range(45) if k == 0 or upper(k) <= high)
    assert step is not None and step.count == best
    assert step.upper == pytest.approx(upper(best), rel=1e-9)


def test_a_smaller_risk_is_never_more_strokes() -> None:
    counts = [
        step.count
        for risk in (0.001, 0.01, 0.05, 0.2, 0.5)
        if (step := next_step(straight(0, 30, 60), 10_200, 10_900, NOISE, risk))
    ]
    assert counts == sorted(counts) and counts[0] < counts[-1]


def test_not_one_stroke_where_the_highest_is_too_near() -> None:
    step = next_step(straight(0, 30, 60), 6_100, 6_200, NOISE, 0.05)
    assert step is not None and step.count == 0


def test_the_steepest_slope_counts() -> None:
    """The largest place stands still while the mean grows: it will grow too."""
    slow = Checks((0, 30, 60), (-3_000.0, 0, 3_000), (4_000.0, 4_000, 4_000), (0.0, 2_000, 4_000))
    step = next_step(slow, 10_000, 8_000, NOISE, 0.05)
    assert step is not None and 0 < step.count < 4_000 / 100


def test_risk_is_kept_on_a_few_hundred_simulated_bores() -> None:
    """The large run is in tests/bench."""
    for window in (800.0, 1_400.0):
        outcomes = hone_many(5, 150, window, 0.05)
        assert mean(outcome.passed for outcome in outcomes) <= 0.05
    assert mean(outcome.finished for outcome in outcomes) > 0.9
    reckless = hone_many(5, 100, 1_400.0, 0.05, reckless=True)
    assert mean(outcome.passed for outcome in reckless) > 0.2
