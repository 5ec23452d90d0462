from fitsolver.fits.route_cut import base_size, largest_finish, takes_material

from .builders import MM, route


def test_materials() -> None:
    assert takes_material(route(materials=("iron", "steel")), "steel")
    assert not takes_material(route(materials=("iron", "steel")), "plated")
    assert takes_material(route(materials=()), "plated")


def test_the_largest_cut_counts_from_the_smallest_local_size() -> None:
    assert largest_finish(route(max_cut=8_000), 62 * MM) == 62 * MM + 8_000
    assert largest_finish(route(max_cut=None), 62 * MM) is None


def test_a_restored_bore_counts_from_its_restored_size() -> None:
    sleeve = route(kind="restore", restored_bore=61 * MM + 90_000, max_cut=40_000)
    assert base_size(sleeve, 63 * MM) == 61 * MM + 90_000
    assert largest_finish(sleeve, 63 * MM) == 62 * MM + 30_000
