import pytest

from fitsolver.fits.form import holds

from .builders import limits


@pytest.mark.parametrize(
    ("value", "low", "high", "fits"),
    [(1_000, None, 1_000, True), (1_001, None, 1_000, False), (0, None, 1_000, True),
     (5, 6, None, False), (6, 6, None, True), (10**6, None, None, True)],
)  # fmt: skip
def test_the_edges_belong_to_the_window(
    value: int, low: int | None, high: int | None, fits: bool
) -> None:
    assert holds(value, limits(low, high)) is fits
