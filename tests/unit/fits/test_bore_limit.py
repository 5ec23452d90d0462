from hypothesis import given
from hypothesis import strategies as st

from fitsolver.fits.bore_limit import left_to_limit

from .builders import MM


@given(limit=st.integers(MM, 500 * MM), half_width=st.integers(0, MM))
def test_the_largest_finish_just_keeps_to_the_limit(limit: int, half_width: int) -> None:
    finish = limit - half_width
    assert left_to_limit(limit, finish + half_width) == 0
    assert left_to_limit(limit, finish + 1 + half_width) < 0


def test_what_is_left_counts_from_the_largest_local_size() -> None:
    assert left_to_limit(63 * MM + 10_000, 62 * MM + 50_600) == 59_400
