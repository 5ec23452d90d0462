import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitsolver.metrology.shape import STRAIGHT_WITHIN, name_shape
from fitsolver.records.form import ShapeName

UM, MM = 100, 100_000


def named(*sizes: int, depths: tuple[int, ...] = ()) -> tuple[ShapeName, str]:
    """Name a profile of sizes in micrometres over 62 mm, 10 mm apart unless depths say else."""
    places = depths or tuple(range(10, 10 + 10 * len(sizes), 10))
    return name_shape(
        [(depth * MM, 62 * MM + size * UM) for depth, size in zip(places, sizes, strict=True)]
    )


@pytest.mark.parametrize(
    ("sizes", "shape"),
    [
        ((0, 0, 0), ("straight", "")),
        ((0, 5, 0), ("straight", "")),
        ((7,), ("straight", "")),
        ((30, 0), ("tapered", "top")),
        ((0, 15, 30), ("tapered", "bottom")),
        ((30, 20, 10, 0), ("tapered", "top")),
        ((30, 29, 26, 0), ("tapered", "top")),  # narrow at the bottom, not wide at the top
        ((30, 31, 10, 12, 0), ("tapered", "top")),  # steps against it within a quarter
        ((0, 30, 0), ("barrel", "")),
        ((10, 20, 40, 30, 5), ("barrel", "")),
        ((30, 0, 30), ("waisted", "")),
        ((30, 10, 0, 12, 40), ("waisted", "")),
        ((40, 4, 2, 0), ("bell-mouthed", "top")),
        ((0, 1, 3, 40), ("bell-mouthed", "bottom")),
        ((0, 30, 0, 30), ("irregular", "")),
        ((30, 0, 40, 0, 30), ("irregular", "")),
        ((30, 10, 25, 0), ("irregular", "")),
    ],
)
def test_names(sizes: tuple[int, ...], shape: tuple[ShapeName, str]) -> None:
    assert named(*sizes) == shape


def test_the_straight_threshold_is_two_divisions_of_an_inch_dial() -> None:
    assert STRAIGHT_WITHIN == 2 * 254
    assert name_shape([(0, 1_000), (MM, 1_000 + STRAIGHT_WITHIN)])[0] == "straight"
    assert name_shape([(0, 1_000), (MM, 1_001 + STRAIGHT_WITHIN)])[0] == "tapered"


def test_a_quarter_of_the_spread_counts_as_nothing() -> None:
    assert named(30, 40, 0)[0] == "tapered"  # 10 above the end is a quarter of 40
    assert named(29, 40, 0)[0] == "barrel"
    assert named(40, 10, 0)[0] == "tapered"  # the straight line gives 20: 10 below
    assert named(40, 9, 0)[0] == "bell-mouthed"


def test_a_bell_mouth_is_judged_by_the_depths_not_by_their_number() -> None:
    straight_line = (120, 102, 84, 24, 0)
    assert named(*straight_line, depths=(8, 18, 28, 61, 74)) == ("tapered", "top")


profiles = st.lists(st.integers(-100, 100), min_size=1, max_size=7)


@given(profiles)
def test_turned_upside_down_only_the_end_changes(sizes: list[int]) -> None:
    shape, end = named(*sizes)
    turned, other = named(*reversed(sizes))
    assert turned == shape
    assert (end, other) in {("", ""), ("top", "bottom"), ("bottom", "top")}
    assert (end != "") == (shape in ("tapered", "bell-mouthed"))


@given(profiles)
def test_inside_out_barrel_and_waist_change_places(sizes: list[int]) -> None:
    places = {"barrel": "waisted", "waisted": "barrel"}
    shape, inside_out = named(*sizes)[0], named(*(-size for size in sizes))[0]
    if shape in places or inside_out in places:
        assert inside_out == places[shape]
