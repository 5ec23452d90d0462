from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitsolver.fits.compression import ratio

from .builders import MM, span

CM3 = (10 * MM) ** 3
NOTHING = span(0, 0)


def test_by_hand() -> None:
    """44 x 33 mm sweep 50.178 cm3; above 6.4 cm3 that is 8.8403. A gap 0.1 mm wider adds
    0.15205 cm3: 8.6583."""
    bore = span(44 * MM, 44 * MM)
    assert ratio(33 * MM, 64 * CM3 // 10, bore, NOTHING) == (8_840, 8_841)
    wider = span(MM // 10, MM // 10)
    assert ratio(33 * MM, 64 * CM3 // 10, bore, wider) == (8_658, 8_659)


@given(
    stroke=st.integers(20 * MM, 100 * MM),
    chamber=st.integers(5 * CM3, 80 * CM3),
    low=st.integers(30 * MM, 90 * MM),
    more=st.integers(0, MM),
    growth=st.integers(0, 2 * MM),
    further=st.integers(0, MM),
    shares=st.tuples(st.floats(0, 1), st.floats(0, 1)),
)
def test_everything_between_lies_between(
    stroke: int,
    chamber: int,
    low: int,
    more: int,
    growth: int,
    further: int,
    shares: tuple[float, float],
) -> None:
    found = ratio(stroke, chamber, span(low, low + more), span(growth, growth + further))
    assert found is not None
    area = pi / 4 * (low + shares[0] * more) ** 2
    clearance = chamber + area * (growth + shares[1] * further)
    one = 1_000 * (clearance + area * stroke) / clearance
    assert found[0] <= one + 1e-6
    assert one - 1e-6 <= found[1]


def test_no_volume_left() -> None:
    """Over 44 mm, 1 cm3 stands 0.66 mm high."""
    bore = span(44 * MM, 44 * MM)
    assert ratio(33 * MM, CM3, bore, span(-65_000, 0)) is not None
    assert ratio(33 * MM, CM3, bore, span(-66_000, 0)) is None


def test_the_rounding_is_outwards() -> None:
    least, most = ratio(33 * MM, 6 * CM3, span(44 * MM, 44 * MM), NOTHING) or (0, 0)
    assert most - least == 1
    assert least / 1_000 == pytest.approx(1 + pi / 4 * 4.4**2 * 3.3 / 6, abs=0.001)
