from fitsolver.fits.clean_up import clean_as_is, least_local_size

from .builders import MM, route


def test_the_least_cut_and_twice_the_scratch_compete() -> None:
    honing = route(min_cut=1_000)
    assert least_local_size(honing, 62 * MM, scratch=0) == 62 * MM + 1_000
    assert least_local_size(honing, 62 * MM, scratch=500) == 62 * MM + 1_000
    assert least_local_size(honing, 62 * MM, scratch=501) == 62 * MM + 1_002


def test_a_restored_bore_forgets_wear_and_scratches() -> None:
    sleeve = route(kind="restore", restored_bore=61 * MM, min_cut=5_000)
    assert least_local_size(sleeve, 63 * MM, scratch=9_000) == 61 * MM + 5_000


def test_a_bore_left_as_it_is_must_have_no_scratch() -> None:
    assert clean_as_is(0)
    assert not clean_as_is(1)
