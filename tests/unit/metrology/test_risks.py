"""Risks of a batch: against scipy's bivariate normal and against drawn batches."""

from __future__ import annotations

import random

import numpy as np
import pytest
from scipy.stats import multivariate_normal, norm

from fitsolver.metrology.risks import Risks, risks
from tests.published.derived import conformance_probability


@pytest.mark.parametrize("seed", range(60))
def test_a_drawn_batch_by_scipy(seed: int) -> None:
    draw = random.Random(seed)
    mean, spread, u = draw.uniform(-20, 20), draw.uniform(1, 12), draw.uniform(0.2, 8)
    guard = draw.uniform(0, 6)
    found = risks((-10, 10), (-10 + guard, 10 - guard), mean=mean, spread=spread, u=u)
    both = multivariate_normal(
        [mean, mean], [[spread**2, spread**2], [spread**2, spread**2 + u**2]]
    )
    inside = both.cdf([10, 10 - guard], lower_limit=[-10, -10 + guard])
    accepted = np.diff(norm(mean, np.hypot(spread, u)).cdf([-10 + guard, 10 - guard]))[0]
    conforms = np.diff(norm(mean, spread).cdf([-10, 10]))[0]
    assert found == pytest.approx((accepted, accepted - inside, conforms - inside), abs=2e-5)


@pytest.mark.parametrize(("low", "guard"), [(-10.0, 0.0), (-10.0, 3.0), (None, 2.0)])
def test_a_batch_measured_part_by_part(low: float | None, guard: float) -> None:
    random = np.random.default_rng(3)
    true = random.normal(4, 5, 1_000_000)
    seen = true + random.normal(0, 2, true.size)
    least = -np.inf if low is None else low
    inside = (least <= true) & (true <= 10)
    taken = (least + guard <= seen) & (seen <= 10 - guard)
    acceptance = (None if low is None else low + guard, 10 - guard)
    found = risks((low, 10), acceptance, mean=4, spread=5, u=2)
    drawn = (taken.mean(), (taken & ~inside).mean(), (inside & ~taken).mean())
    assert found == pytest.approx(drawn, abs=0.002)


def test_without_error_nobody_bears_a_risk() -> None:
    assert risks((-10, 10), (-10, 10), mean=4, spread=5, u=0)[1:] == pytest.approx((0, 0), abs=1e-9)


def test_guards_that_meet_accept_nothing() -> None:
    found = risks((-10, 10), (2, -2), mean=0, spread=5, u=8)
    assert found == Risks(0, 0, pytest.approx(conformance_probability(-10, 10, 0, 5)))


@pytest.mark.parametrize(("spread", "u"), [(0, 1), (-1, 1), (1, -1)])
def test_figures_that_cannot_be(spread: float, u: float) -> None:
    with pytest.raises(ValueError, match="a batch has a spread"):
        risks((-10, 10), (-10, 10), mean=0, spread=spread, u=u)
