import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitsolver.fits.side_clearance import holds, side_clearance
from fitsolver.records.windows import OPEN, Limits

from .builders import limits, span

widths = st.tuples(st.integers(1_000, 9_000), st.integers(0, 500))


@given(groove=widths, ring=widths)
def test_least_and_most_are_the_extreme_pairs(
    groove: tuple[int, int], ring: tuple[int, int]
) -> None:
    grooves, rings = (groove[0], sum(groove)), (ring[0], sum(ring))
    every = [g - r for g in grooves for r in rings]
    assert side_clearance(span(*grooves), span(*rings)) == span(min(every), max(every))


@pytest.mark.parametrize(
    ("window", "fits"),
    [(limits(30, 65), True), (limits(31, 65), False), (limits(30, 64), False),
     (limits(low=31), False), (limits(high=65), True), (OPEN, True)],
)  # fmt: skip
def test_both_edges(window: Limits, fits: bool) -> None:
    assert holds(span(2_030, 2_045), span(1_980, 2_000), window) is fits


def test_without_a_window_the_tightest_ring_must_go_in() -> None:
    assert holds(span(200, 210), span(190, 200), OPEN)
    assert not holds(span(200, 210), span(190, 201), OPEN)
