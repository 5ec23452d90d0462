from hypothesis import given
from hypothesis import strategies as st

from fitsolver.fits.mass_match import mass_range, spread

from .builders import piston


def test_a_measured_mass_has_no_tolerance() -> None:
    part = piston(mass=196_000, mass_tolerance=800)
    assert mass_range(part, None) == (195_200, 196_800)
    assert mass_range(part, 196_300) == (196_300, 196_300)
    assert mass_range(piston(mass=None), None) is None
    assert mass_range(piston(mass=None), 196_300) == (196_300, 196_300)


@given(st.lists(st.tuples(st.integers(0, 10**6), st.integers(0, 2_000)), min_size=1, max_size=6))
def test_the_spread_is_the_worst_pair(parts: list[tuple[int, int]]) -> None:
    ranges = [(mass, mass + width) for mass, width in parts]
    assert spread(ranges) == max(a[1] - b[0] for a in ranges for b in ranges)
