import pytest

from fitsolver.fits.compatibility import pin_fits, ring_fits_groove

from .builders import MM, groove, piston, ring


@pytest.mark.parametrize(
    ("own", "engine", "fits"),
    [(16 * MM, 16 * MM, True), (16 * MM, 18 * MM, False), (None, 18 * MM, True),
     (16 * MM, None, True)],
)  # fmt: skip
def test_pins_are_equal_where_both_are_known(
    own: int | None, engine: int | None, fits: bool
) -> None:
    assert pin_fits(piston(pin_diameter=own), engine) is fits


def test_a_ring_goes_only_into_a_groove_it_is_marked_for() -> None:
    assert ring_fits_groove(ring(grooves=(1, 2)), groove(number=2))
    assert not ring_fits_groove(ring(grooves=(1, 2)), groove(number=3))


@pytest.mark.parametrize(
    ("radial_depth", "depth", "fits"),
    [(290, 290, True), (291, 290, False), (None, 290, True), (291, None, True)],
)
def test_a_ring_is_not_deeper_than_its_groove(
    radial_depth: int | None, depth: int | None, fits: bool
) -> None:
    assert ring_fits_groove(ring(radial_depth=radial_depth), groove(depth=depth)) is fits
