from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from fitsolver.fits.thermal import Growth, hot_clearance, hot_end_gap

from .builders import MM, PI40

growths = st.builds(Growth, st.integers(0, 30_000), st.integers(-60, 400))
bores = st.integers(20 * MM, 300 * MM)
IRON, ALUMINIUM = Growth(11_400, 80), Growth(19_000, 90)


def exact(growth: Growth) -> Fraction:
    return growth.expansion * growth.rise * Fraction(1, 10**9)


def test_a_cold_clearance_shrinks_by_what_the_piston_grows_more() -> None:
    """62.500 (1 + 912e-6) - 62.430 (1 + 1710e-6) mm = 0.0202447 mm, worked by hand."""
    assert hot_clearance(6_250_000, 6_243_000, IRON, ALUMINIUM) == 2_024
    assert hot_clearance(6_250_000, 6_243_000, Growth(0, 0), Growth(0, 0)) == 7_000


def test_a_tight_piston_has_negative_running_clearance() -> None:
    assert hot_clearance(6_250_000, 6_246_000, IRON, ALUMINIUM) < 0


def test_ring_ends_meet_when_the_ring_runs_much_hotter() -> None:
    """0.25 mm - pi 62.5 mm (1232e-6 - 912e-6) = 0.1871681 mm, worked by hand."""
    assert hot_end_gap(25_000, 6_250_000, IRON, Growth(11_200, 110)) == 18_716
    assert hot_end_gap(2_000, 6_250_000, IRON, Growth(11_200, 110)) < 0


@given(bore=bores, less=st.integers(-2_000, 50_000), bore_growth=growths, piston_growth=growths)
def test_clearance_is_the_exact_value_rounded_down(
    bore: int, less: int, bore_growth: Growth, piston_growth: Growth
) -> None:
    skirt = bore - less
    true = bore * (1 + exact(bore_growth)) - skirt * (1 + exact(piston_growth))
    assert 0 <= true - hot_clearance(bore, skirt, bore_growth, piston_growth) < 1


@given(gap=st.integers(0, 2 * MM), bore=bores, bore_growth=growths, ring_growth=growths)
def test_end_gap_is_the_exact_value_rounded_down(
    gap: int, bore: int, bore_growth: Growth, ring_growth: Growth
) -> None:
    true = gap + PI40 * bore * (exact(bore_growth) - exact(ring_growth))
    assert 0 <= true - hot_end_gap(gap, bore, bore_growth, ring_growth) < 1
