from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitsolver.fits.displacement import PI_ABOVE, PI_BELOW, displacement, largest_sum_of_squares

from .builders import MM, PI40

INCH = 2_540_000
lengths = st.integers(MM, 300 * MM)


def test_pi_is_between_its_two_sides() -> None:
    assert PI_BELOW < PI40 < PI_ABOVE


def test_published_examples() -> None:
    """Engineering handbook: 3.625 x 3.31 in, 8 cylinders, printed 273 in3 (no decimals)."""
    found = Fraction(displacement([3_625 * INCH // 1000] * 8, 331 * INCH // 100), INCH**3)
    assert float(found) == pytest.approx(273, abs=0.5)
    square = Fraction(displacement([86 * MM] * 4, 86 * MM), (10 * MM) ** 3)
    assert float(square) == pytest.approx(1998.2289, abs=5e-5)  # pi/4 B^2 S n, cm3


@given(bores=st.lists(lengths, min_size=1, max_size=8), stroke=lengths)
def test_rounded_up_and_never_by_a_whole_cubic_tick(bores: list[int], stroke: int) -> None:
    true = PI40 / 4 * stroke * sum(bore * bore for bore in bores)
    assert true <= displacement(bores, stroke) < true + 1


@given(bore=lengths, stroke=lengths, offset=st.integers(-2, 2))
def test_the_largest_sum_is_the_last_within_the_limit(bore: int, stroke: int, offset: int) -> None:
    limit = displacement([bore], stroke)
    assert largest_sum_of_squares(limit, stroke) == bore * bore
    most = largest_sum_of_squares(limit + offset, stroke)
    assert PI40 / 4 * stroke * most <= limit + offset < PI40 / 4 * stroke * (most + 1)
