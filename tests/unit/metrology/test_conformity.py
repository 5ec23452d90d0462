from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from fitsolver.metrology.conformity import (
    guard_factor,
    normal_below,
)

from ...published.derived import conformance_probability, worst_probability

number = st.floats(-50, 50)


@given(number, st.floats(0, 30), number, st.floats(0, 30), st.floats(0.01, 20))
def test_worst_probability_is_the_normal_one(
    low: float, width: float, least: float, spread: float, u: float
) -> None:
    high, most = low + width, least + spread
    expected = max(0.0, norm.cdf((high - most) / u) - norm.cdf((low - least) / u))
    found = worst_probability(least, most, low, high, u)
    assert found == pytest.approx(expected, abs=1e-12)
    assert (
        0
        <= found
        <= min(
            conformance_probability(low, high, least, u),
            conformance_probability(low, high, most, u),
        )
        + 1e-15
    )


def test_far_tails_keep_their_digits() -> None:
    found = conformance_probability(10, 12, 0, 1)
    assert found == pytest.approx(norm.sf(10), rel=1e-3)
    assert normal_below(-10) == pytest.approx(norm.cdf(-10), rel=1e-12)


def test_a_range_wider_than_the_window_never_conforms() -> None:
    assert worst_probability(0, 10, 2, 8, 1e9) == 0


@pytest.mark.parametrize(("estimate", "expected"), [(5, 1), (0, 1), (10, 1), (-1, 0), (11, 0)])
def test_without_uncertainty_it_is_yes_or_no(estimate: float, expected: float) -> None:
    assert conformance_probability(0, 10, estimate, 0) == expected


def test_an_open_window_conforms() -> None:
    assert conformance_probability(None, None, 3, 1) == 1


def test_a_negative_uncertainty_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot be negative; found: -1"):
        conformance_probability(0, 1, 0.5, -1)


@pytest.mark.parametrize("probability", [0.4, 1.0, 95.0])
def test_a_guard_for_no_probability_is_refused(probability: float) -> None:
    with pytest.raises(ValueError, match=r"from 0\.5 to below 1"):
        guard_factor(probability)
