"""Probabilities of a plan, against the normal distribution itself (scipy)."""

from __future__ import annotations

import pytest
from scipy.stats import norm

from fitsolver.records.measuring import Instrument, Measuring
from fitsolver.records.windows import Window
from fitsolver.service import decide
from tests.unit.rules import small

GAUGE = Instrument(kind="bore gauge", standard_uncertainty=500)
MICROMETER = Instrument(kind="outside micrometer", standard_uncertainty=0)
BORED = Measuring(instruments=(GAUGE, MICROMETER))


def test_a_fit_conforms_where_both_ends_of_its_range_do() -> None:
    """Least 62.005 - 61.956, most 62.009 - 61.955; both share the gauge's error."""
    window = Window(fit="clearance", low=4_300, high=6_000)
    plan = decide(small.job(window, measuring=BORED), small.catalogue()).plan
    assert plan is not None
    fit = plan.cylinders[0].fits[0]
    expected = norm.cdf((6_000 - fit.most) / 500) - norm.cdf((4_300 - fit.least) / 500)
    assert fit.uncertainty == pytest.approx(500, rel=1e-6)
    assert fit.probability == pytest.approx(expected, abs=1e-9)
    assert plan.cylinders[0].probability == pytest.approx(fit.probability, abs=1e-9)
    assert plan.probability == pytest.approx(fit.probability, abs=1e-9)


def test_fits_of_one_bore_are_not_independent() -> None:
    """A bore too large is too large for clearance and gap at once: no product of the two."""
    windows = (
        Window(fit="clearance", high=6_000),
        Window(fit="end_gap", high=30_000 + 2_828 + 1_885),
    )
    plan = decide(small.job(*windows, measuring=BORED), small.catalogue()).plan
    assert plan is not None
    by_fit = {fit.fit: fit.probability for fit in plan.cylinders[0].fits}
    single = min(by_fit["clearance"], by_fit["end_gap"])
    assert plan.probability == pytest.approx(single, abs=1e-6)
    assert plan.probability > by_fit["clearance"] * by_fit["end_gap"] + 0.01


def test_a_job_that_tells_nothing_has_no_odds() -> None:
    plan = decide(small.job(Window(fit="clearance", high=6_000)), small.catalogue()).plan
    assert plan is not None
    assert plan.probability is None
    assert plan.cylinders[0].fits[0].probability is None


def test_two_cylinders_share_the_instrument() -> None:
    """One gauge for both bores: its error is the same in each, so both conform or neither."""
    pair = (small.CYLINDER, small.cylinder(name="2"))
    task = small.job(Window(fit="clearance", high=6_000), cylinders=pair, measuring=BORED)
    plan = decide(task, small.catalogue()).plan
    assert plan is not None
    assert plan.probability == pytest.approx(plan.cylinders[0].probability, abs=1e-6)
