from hypothesis import given
from hypothesis import strategies as st

from fitsolver.fits.squish import squish, stack_bounds
from fitsolver.records.job import Squish

from .builders import MM, limits, span

BASE = Squish(base_low=34 * MM, base_high=34 * MM + 1)
HEIGHT = span(34 * MM - 3_000, 34 * MM + 3_000)


def test_least_and_most() -> None:
    assert squish(BASE, HEIGHT, span(100_000, 106_000)) == span(97_000, 109_001)


@given(low=st.integers(50_000, 90_000), width=st.integers(0, 60_000), off=st.integers(-2, 2))
def test_stack_bounds_are_where_the_squish_leaves_its_window(
    low: int, width: int, off: int
) -> None:
    least, most = stack_bounds(BASE, HEIGHT, limits(low, low + width))
    assert least is not None and most is not None
    assert (squish(BASE, HEIGHT, span(least + off)).low >= low) == (off >= 0)
    assert (squish(BASE, HEIGHT, span(most + off)).high <= low + width) == (off <= 0)


def test_open_edges_keep_the_piston_from_the_head() -> None:
    least, most = stack_bounds(BASE, HEIGHT, limits())
    assert most is None
    assert squish(BASE, HEIGHT, span(least)).low == 1
    assert stack_bounds(BASE, HEIGHT, limits(low=-500)) == (least, None)
