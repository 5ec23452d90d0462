"""The pace of the stones, and Student's tail: against scipy and plain simulation."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from fitsolver.honing.pace import FADING, PRIOR_SCATTER, Pass, dulled, jumped, pace_of
from fitsolver.metrology.student import t_above


@pytest.mark.parametrize("degrees", [1, 2, 3, 4, 5, 8, 12, 25])
def test_students_tail(degrees: int) -> None:
    for t in (-40.0, -3.2, -1.0, 0.0, 0.4, 1.7, 2.5, 6.0, 30.0):
        assert t_above(t, degrees) == pytest.approx(stats.t.sf(t, degrees), abs=1e-12)
    with pytest.raises(ValueError, match="one degree"):
        t_above(1.0, 0)


def passes(*paces: float, count: int = 20, error: float = 0.0) -> list[Pass]:
    return [Pass(count, pace * count, pace * count, error) for pace in paces]


def test_without_an_error_of_reading_later_passes_weigh_more() -> None:
    pace = pace_of(passes(100, 120, 110))
    weights = np.array([FADING**2, FADING, 1])
    assert pace is not None
    assert pace.rate == pytest.approx(np.average([100, 120, 110], weights=weights))
    assert pace.weights == pytest.approx(weights / weights.sum())


def test_a_pass_that_the_gauge_cannot_see_weighs_little() -> None:
    """One stroke that reads 4 um, read with an error of 3 um, beside sixty strokes."""
    long, short = Pass(60, 6_000, 6_000, 300.0**2), Pass(1, 400, 400, 300.0**2)
    pace = pace_of([long, short])
    assert pace is not None
    assert pace.rate == pytest.approx(100, rel=0.1)
    assert pace.fastest < 200


def test_nothing_taken_is_no_pace() -> None:
    assert pace_of([]) is None
    assert pace_of(passes(0.0)) is None
    assert pace_of(passes(-5.0, 2.0)) is None


def test_the_scatter_goes_from_what_is_common_to_what_the_log_shows() -> None:
    dice = np.random.default_rng(1)
    even = pace_of(passes(*([100.0] * 5)))
    uneven = pace_of(passes(*(100 * (1 + dice.normal(0, 0.5, 40)))))
    one = pace_of(passes(100.0))
    assert even is not None and uneven is not None and one is not None
    assert one.scatter == pytest.approx(PRIOR_SCATTER)
    assert even.scatter < one.scatter < uneven.scatter
    assert uneven.scatter == pytest.approx(0.5, rel=0.3)


@pytest.mark.parametrize("scatter", [0.05, 0.15, 0.30])
@pytest.mark.parametrize("known", [2, 3, 5])
def test_the_next_pass_is_foretold(scatter: float, known: int) -> None:
    """One-sided 95 %: of 4000 next passes, at least 94 % lie below."""
    dice = np.random.default_rng(2)
    held = tried = 0
    for row in 100 * np.maximum(0.1, 1 + dice.normal(0, scatter, (4_000, known + 1))):
        pace = pace_of(passes(*row[:-1]))
        assert pace is not None
        upper = pace.rate * (1 + stats.t.ppf(0.95, pace.degrees) * pace.of_next)
        held += row[-1] <= upper
        tried += 1
    assert held / tried >= 0.94


def test_a_jump_is_more_than_chance() -> None:
    assert jumped(passes(100, 100, 100, 300)) == 300
    assert jumped(passes(100, 100, 100, 120)) == 0
    assert jumped(passes(100, 300)) == 300
    assert jumped(passes(100, 130)) == 0
    assert jumped(passes(100)) == 0
    assert jumped(passes(100, 100, 100, 300, error=5_000.0**2)) == 0  # the gauge may be wrong


def test_stones_that_dull() -> None:
    found = dulled(passes(200, 170, 150, 120, 100))
    assert found is not None
    began, now = found
    assert began == pytest.approx(200, rel=0.05) and now == pytest.approx(100, rel=0.05)
    assert dulled(passes(200, 150, 100)) is None
    assert dulled(passes(100, 96, 103, 99, 98)) is None
