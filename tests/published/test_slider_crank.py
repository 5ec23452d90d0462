"""Piston travel and crank angle of a slider crank."""

from __future__ import annotations

import pytest

from fitsolver.fits.slider_crank import (
    angle_for,
    angles_for,
    least_travel,
    most_travel,
)

from ..oracle.small import mm
from .derived import travel

MM = mm("1")


def test_travel_at_twenty_degrees() -> None:
    """Crank radius 43 mm, rod 166 mm, 20 degrees: 3.24598 mm, to 0.00001 (Heywood, Internal
    Combustion Engine Fundamentals, eq. 2.4 to 2.6; computed from the equation)."""
    assert travel(20, mm("86"), mm("166")) / MM == pytest.approx(3.24598, abs=1e-5)


def test_angle_at_half_stroke() -> None:
    """Stroke 54.5 mm, rod 110 mm, depth 27.25 mm: 82.884863 degrees (cosine rule, computed)."""
    assert angle_for(mm("27.25"), mm("54.5"), mm("110")) == pytest.approx(82.884863, abs=1e-6)


def test_the_travel_lies_between_whole_ticks_at_twenty_degrees() -> None:
    """The same figure as a window: 20 degrees are reached at 3.24599 mm and not at 3.24598."""
    stroke, rod = mm("86"), mm("166")
    assert most_travel(20_000, stroke, rod) == mm("3.24598")
    assert least_travel(20_000, stroke, rod) == mm("3.24599")


def test_the_angle_lies_between_whole_thousandths_at_half_stroke() -> None:
    assert angles_for(mm("27.25"), mm("54.5"), mm("110")) == (82_884, 82_885)
