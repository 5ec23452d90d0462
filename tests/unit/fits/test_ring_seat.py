from hypothesis import given
from hypothesis import strategies as st

from fitsolver.fits.ring_seat import bore_bounds, over_bore

from .builders import MM, limits, span

RING = 62 * MM + 25_000


def test_over_the_bore_is_least_where_the_bore_is_largest() -> None:
    assert over_bore(RING, 62 * MM, 62 * MM + 600) == span(24_400, 25_000)


@given(low=st.integers(-50_000, 0), high=st.integers(0, 50_000), offset=st.integers(-2, 2))
def test_bounds_are_where_the_ring_leaves_its_window(low: int, high: int, offset: int) -> None:
    least, most = bore_bounds(RING, limits(low, high), None)
    assert least is not None and most is not None
    assert (over_bore(RING, least + offset, least + offset).high <= high) == (offset >= 0)
    assert (over_bore(RING, most + offset, most + offset).low >= low) == (offset <= 0)


def test_the_narrower_of_window_and_maker_counts() -> None:
    assert bore_bounds(RING, limits(high=30_000), 20_000) == (RING - 20_000, None)
    assert bore_bounds(RING, limits(high=10_000), 20_000) == (RING - 10_000, None)
    assert bore_bounds(RING, limits(), 20_000) == (RING - 20_000, None)
    assert bore_bounds(RING, limits(), None) == (None, None)
