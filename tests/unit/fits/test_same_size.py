from fitsolver.fits.same_size import one_size


def test_one_size() -> None:
    assert one_size([25_000, 25_000, 25_000])
    assert not one_size([25_000, 25_000, 25_001])
    assert one_size([])
