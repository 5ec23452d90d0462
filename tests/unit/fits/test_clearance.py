from hypothesis import given
from hypothesis import strategies as st

from fitsolver.fits.clearance import clearance, finish_bounds
from fitsolver.records.base import Range

from .builders import MM, limits, span

lengths = st.integers(-MM, MM)


def test_the_handbook_chain() -> None:
    """TM 55-1905-219-14-4: liner 4.2495 to 4.2511 in, skirt 4.2428 to 4.2450 in."""
    inch = 2_540_000
    skirt = span(42_428 * inch // 10_000, 42_450 * inch // 10_000)
    found = clearance(42_495 * inch // 10_000, 42_511 * inch // 10_000, skirt)
    assert (found.low, found.high) == (45 * 254, 83 * 254)  # 0.0045, 0.0083 in


@given(
    skirt=st.tuples(lengths, st.integers(0, 1_000)).map(lambda t: span(t[0], t[0] + t[1])),
    low=lengths,
    width=st.integers(0, 20_000),
    half_width=st.integers(0, 1_000),
    offset=st.integers(-3, 3),
)
def test_bounds_are_exactly_where_the_clearance_leaves_its_window(
    skirt: Range, low: int, width: int, half_width: int, offset: int
) -> None:
    least, most = finish_bounds(skirt, limits(low, low + width), half_width)
    assert least is not None and most is not None
    at_least = clearance(least + offset - half_width, least + offset + half_width, skirt)
    assert (at_least.low >= low) == (offset >= 0)
    at_most = clearance(most + offset - half_width, most + offset + half_width, skirt)
    assert (at_most.high <= low + width) == (offset <= 0)


def test_open_edges_bound_nothing() -> None:
    assert finish_bounds(span(100, 110), limits(), 5) == (None, None)
    assert finish_bounds(span(100, 110), limits(low=20), 5) == (135, None)
    assert finish_bounds(span(100, 110), limits(high=20), 5) == (None, 115)


def test_a_coated_piston_may_have_negative_clearance() -> None:
    assert clearance(100, 102, span(103, 104)) == span(-4, -1)
