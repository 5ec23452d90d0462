"""How far the next pass may go."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

import pytest
from scipy import stats

from fitsolver.honing.advice import GAUGE_DEGREES, Checks, Noise, next_step, passes_of
from fitsolver.honing.pace import pace_of

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
    step = next_step(straight(0, 20, 40, 60), 10_000, 20_000, NOISE, 0.05)
    assert step is not None and (step.count, step.whole) == (42, True)


@pytest.mark.parametrize("counts", [(0, 60), (0, 20, 60), (0, 10, 20, 30)])
def test_half_of_what_is_left_while_the_pace_is_not_known(counts: tuple[int, ...]) -> None:
    step = next_step(straight(*counts), 10_000, 90_000, NOISE, 0.05)
    wanted = -(-(10_150 - 100 * counts[-1]) // 100)
    assert step is not None and (step.count, step.whole) == (wanted // 2, False)


@pytest.mark.parametrize("limit", [0.001, 0.01, 0.05, 0.2])
@pytest.mark.parametrize("high", [9_700, 9_900, 10_200, 11_500])
def test_the_risk_is_kept_and_one_stroke_more_does_not(high: int, limit: float) -> None:
    """Every count tried, the risk written out again with scipy's Student's t."""
    checks = straight(0, 30, 60, 90)
    pace = pace_of(passes_of(checks, NOISE))
    assert pace is not None

    def risk(count: int) -> float:
        gauge, strokes = 200.0**2, (100 * count * pace.of_next) ** 2
        degrees = (gauge + strokes) ** 2 / (gauge**2 / GAUGE_DEGREES + strokes**2 / pace.degrees)
        return float(stats.t.sf((high - 9_150 - 100 * count) / sqrt(gauge + strokes), int(degrees)))

    # to the lowest are 6.5 strokes; three times the pace does not pass the highest as read
    held = [k for k in range(1, 8) if 9_150 + 300 * k <= high and risk(k) <= limit]
    step = next_step(checks, 9_500, high, NOISE, limit)
    assert step is not None and step.count == max(held, default=0)
    assert step.risk == pytest.approx(risk(max(1, step.count)), rel=1e-6)
    assert not step.count or step.upper <= high + 0.02


def test_a_smaller_limit_is_never_more_strokes() -> None:
    counts = [
        step.count
        for limit in (0.001, 0.01, 0.05, 0.2, 0.5)
        if (step := next_step(straight(0, 30, 60, 90), 10_200, 9_900, NOISE, limit))
    ]
    assert counts == sorted(counts) and counts[0] < counts[-1]


def test_more_readings_permit_a_stroke() -> None:
    checks = straight(0, 30, 60, 90)
    one = next_step(checks, 10_200, 9_600, NOISE, 0.01)
    assert one is not None and (one.count, one.again) == (0, 2)
    assert one.risk > one.limit
    for times, count in ((2, 0), (3, 1)):
        read = replace(checks, times=(1, 1, 1, times))
        step = next_step(read, 10_200, 9_600, NOISE, 0.01)
        assert step is not None and step.count == count


def test_stones_that_were_sharper_before_may_be_so_again() -> None:
    """They dulled from 3 to 1 um: a pass at 3 um must stay below the highest."""
    sizes = (0.0, 9_000, 15_000, 18_000, 21_000)
    dull = Checks((0, 30, 60, 90, 120), sizes, sizes, sizes)
    step = next_step(dull, 25_000, 26_000, NOISE, 0.025)
    assert step is not None
    assert step.count * step.ahead.fastest <= 5_000
    assert step.ahead.fastest > 2 * step.ahead.pace.rate * 0.7


def test_not_one_stroke_where_the_highest_is_too_near() -> None:
    step = next_step(straight(0, 30, 60), 6_100, 6_200, NOISE, 0.05)
    assert step is not None and step.count == 0


def test_the_steepest_slope_counts() -> None:
    """The largest place stands still while the mean grows: it will grow too."""
    slow = Checks((0, 30, 60), (-3_000.0, 0, 3_000), (4_000.0, 4_000, 4_000), (0.0, 2_000, 4_000))
    step = next_step(slow, 10_000, 8_000, NOISE, 0.05)
    assert step is not None and 0 < step.count < 4_000 / 100
