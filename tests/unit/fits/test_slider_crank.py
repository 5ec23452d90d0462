from cmath import exp
from fractions import Fraction
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitsolver.fits.slider_crank import (
    angle_for,
    angles_for,
    cosine,
    least_travel,
    most_travel,
)

from ...published.derived import travel
from .builders import MM

strokes = st.integers(10 * MM, 200 * MM)
rods_per_stroke = st.floats(0.51, 4)


@given(stroke=strokes, per=rods_per_stroke, angle=st.floats(0, 180))
def test_the_rod_keeps_its_length(stroke: int, per: float, angle: float) -> None:
    """The pin, at r + l - s on the bore's axis, is one rod away from the crank pin."""
    rod = round(stroke * per)
    crank_pin = stroke / 2 * exp(1j * pi * angle / 180)
    wrist_pin = stroke / 2 + rod - travel(angle, stroke, rod)
    assert abs(wrist_pin - crank_pin) == pytest.approx(rod, rel=1e-12)


@given(stroke=strokes, per=rods_per_stroke, share=st.floats(0.01, 0.99))
def test_there_and_back(stroke: int, per: float, share: float) -> None:
    rod, depth = round(stroke * per), round(stroke * share)
    angle = angle_for(depth, stroke, rod)
    assert angle is not None
    assert travel(angle, stroke, rod) == pytest.approx(depth, abs=0.01)


def test_dead_centres_and_beyond() -> None:
    stroke, rod = 54 * MM, 110 * MM
    assert angle_for(0, stroke, rod) == 0
    assert angle_for(stroke, stroke, rod) == 180
    assert angle_for(-1, stroke, rod) is None
    assert angle_for(stroke + 1, stroke, rod) is None


@given(stroke=st.integers(1_000, 200 * MM), per=rods_per_stroke, share=st.floats(0, 1))
def test_whole_thousandths_lie_next_to_the_angle(stroke: int, per: float, share: float) -> None:
    rod, depth = round(stroke * per), round(stroke * share)
    down, up = angles_for(depth, stroke, rod)
    angle = angle_for(depth, stroke, rod)
    assert angle is not None
    assert down == up or down + 1 == up
    assert down - 1e-3 <= 1_000 * angle <= up + 1e-3


@given(stroke=st.integers(1_000, 200 * MM), per=rods_per_stroke, angle=st.integers(0, 180_000))
def test_travels_at_an_angle_are_neighbours_of_it(stroke: int, per: float, angle: int) -> None:
    rod = round(stroke * per)
    least, most = least_travel(angle, stroke, rod), most_travel(angle, stroke, rod)
    assert least in (most, most + 1)
    assert angles_for(least, stroke, rod)[0] >= angle or least == stroke
    assert angles_for(most, stroke, rod)[1] <= angle
    assert most - 0.01 <= travel(angle / 1_000, stroke, rod) <= least + 0.01


def test_an_angle_that_a_whole_tick_has_is_met_exactly() -> None:
    """3, 4 and 5: at 90 degrees a crank of 300, a rod of 500 and a travel of 300 + 500 - 400."""
    assert least_travel(90_000, 600, 500) == most_travel(90_000, 600, 500) == 400
    assert angles_for(400, 600, 500) == (90_000, 90_000)
    assert (least_travel(90_001, 600, 500), most_travel(89_999, 600, 500)) == (401, 399)


def test_cosines_on_both_sides() -> None:
    """Of 36 degrees: (1 + sqrt 5) / 4, so that 4 c - 1 squared is 5."""
    below, above = cosine(36_000)
    assert (4 * below - 1) ** 2 < 5 < (4 * above - 1) ** 2
    assert above - below < Fraction(1, 10**44)
    assert cosine(144_000) == (-above, -below)
