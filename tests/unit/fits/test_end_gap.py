from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitsolver.base.lengths import ceil, floor
from fitsolver.fits.end_gap import (
    FARTHEST,
    PI,
    filed_gap,
    filing,
    gap_in_bore,
    largest_bore,
    smallest_bore,
    widest_spread,
    within_reach,
)

from .builders import MM, PI40, span

BORE = 62 * MM
growths = st.integers(-FARTHEST, FARTHEST)
gaps = st.integers(0, 2 * MM)


@given(growth=growths)
def test_the_fraction_rounds_as_pi_does(growth: int) -> None:
    assert floor(PI * growth) == floor(PI40 * growth)
    assert ceil(PI * growth) == ceil(PI40 * growth)


def test_the_fraction_does_no_better_beyond_its_reach() -> None:
    reach = PI.denominator
    assert (floor(PI * reach), ceil(PI * reach)) != (floor(PI40 * reach), ceil(PI40 * reach))
    assert within_reach(BORE, BORE + FARTHEST, BORE - FARTHEST)
    assert not within_reach(BORE, BORE, BORE + reach)


def test_published_growth() -> None:
    """TM 5-3825-225-14&P section 1-26: 0.001 in of bore is about 0.003 in of gap."""
    grown = gap_in_bore(span(0), BORE, BORE + 2_540, BORE + 2_540)
    assert Fraction(grown.low, 2_540_000) == pytest.approx(Fraction("0.003"), abs=0.00015)
    assert grown == span(7_979, 7_980)
    # 0.02 mm of bore: 0.0628319 mm of gap (pi times it)
    assert gap_in_bore(span(0), BORE, BORE + 2_000, BORE + 2_000) == span(6_283, 6_284)


@given(low=gaps, width=gaps, growth=growths, more=st.integers(0, 10_000))
def test_the_range_is_rounded_outwards(low: int, width: int, growth: int, more: int) -> None:
    growth = min(growth, FARTHEST - more)
    found = gap_in_bore(span(low, low + width), BORE, BORE + growth, BORE + growth + more)
    assert 0 <= (low + PI40 * growth) - found.low < 1
    assert 0 <= found.high - (low + width + PI40 * (growth + more)) < 1


@given(bottom=gaps, low=gaps, growth=growths)
def test_filing_reaches_the_bottom_and_no_tick_less_would(
    bottom: int, low: int, growth: int
) -> None:
    filed = filing(bottom, low, BORE, BORE + growth)
    true = low + PI40 * growth
    assert true + filed >= bottom
    assert filed == 0 or true + filed - 1 < bottom


def test_no_bottom_no_filing() -> None:
    assert filing(None, 0, BORE, BORE) == 0


@given(top=gaps, high=gaps, offset=st.integers(-2, 2))
def test_the_largest_bore_is_the_last_with_a_gap_within_the_top(
    top: int, high: int, offset: int
) -> None:
    bore = largest_bore(top, high, BORE) + offset
    assert (high + PI40 * (bore - BORE) <= top) == (offset <= 0)


@given(bottom=gaps, low=gaps, file_most=gaps, offset=st.integers(-2, 2))
def test_the_smallest_bore_is_the_first_that_filing_can_serve(
    bottom: int, low: int, file_most: int, offset: int
) -> None:
    bore = smallest_bore(bottom, low, BORE, file_most) + offset
    assert (filing(bottom, low, BORE, bore) <= file_most) == (offset >= 0)


@given(bottom=gaps, width=gaps, offset=st.integers(-2, 2))
def test_a_filed_ring_gapes_further_where_the_bore_is_largest(
    bottom: int, width: int, offset: int
) -> None:
    spread = widest_spread(bottom, bottom + width) + offset
    assert (bottom + PI40 * spread <= bottom + width) == (offset <= 0)
    assert 0 <= filed_gap(bottom, spread) - (bottom + PI40 * spread) < 1
