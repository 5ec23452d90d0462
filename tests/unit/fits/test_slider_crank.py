from cmath import exp
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitsolver.fits.slider_crank import angle_for, travel

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
