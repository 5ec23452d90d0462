import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitsolver.base.errors import InputError
from fitsolver.metrology.form import LOBING_CAUTION, bore_form, deciding, extremes, six_readings
from fitsolver.records.job import Cylinder
from fitsolver.records.readings import PIN, THRUST, PortBand, Reading, Zone

MM, UM = 100_000, 100
BORE = 62 * MM
ZONE = Zone(top=6 * MM, bottom=78 * MM)
EXHAUST = PortBand(name="exhaust", top=34 * MM, bottom=58 * MM)


def at(depth: int, angle: int, over: int) -> Reading:
    """A reading `depth` mm deep and `over` micrometres above 62 mm."""
    return Reading(depth=depth * MM, angle=angle, size=BORE + over * UM)


def rows(*lines: tuple[int, int, int]) -> tuple[Reading, ...]:
    """Readings from (depth, thrust, pin)."""
    return tuple(
        at(depth, angle, size)
        for depth, thrust, pin in lines
        for angle, size in ((THRUST, thrust), (PIN, pin))
    )


def cylinder(readings: tuple[Reading, ...], **fields: object) -> Cylinder:
    return Cylinder.model_validate(
        {"name": "1", "material": "iron", "zone": ZONE, "readings": readings} | fields
    )


WORN = rows((3, 1, 0), (8, 134, 104), (28, 86, 70), (37, 160, 148), (62, 40, 28), (74, 18, 12))


def test_only_readings_in_the_zone_and_beside_no_port_decide() -> None:
    found = deciding(cylinder(WORN, ports=(EXHAUST,)))
    assert [reading.depth // MM for reading in found] == [8, 8, 28, 28, 62, 62, 74, 74]
    assert extremes(cylinder(WORN, ports=(EXHAUST,))) == (BORE + 1_200, BORE + 13_400)


def test_a_port_band_may_decide() -> None:
    band = EXHAUST.model_copy(update={"decides": True})
    assert extremes(cylinder(WORN, ports=(band,))) == (BORE + 1_200, BORE + 16_000)


def test_a_band_that_decides_does_not_open_another() -> None:
    band = EXHAUST.model_copy(update={"decides": True})
    assert extremes(cylinder(WORN, ports=(band, EXHAUST)))[1] == BORE + 13_400


def test_without_a_zone_every_depth_decides() -> None:
    assert extremes(cylinder(WORN, zone=None, ports=(EXHAUST,))) == (BORE, BORE + 13_400)


def test_edges_of_zone_and_port_belong_to_them() -> None:
    edges = (at(6, 0, 5), at(78, 0, 6), at(34, 0, 90), at(58, 0, 91))
    assert extremes(cylinder(edges, ports=(EXHAUST,))) == (BORE + 500, BORE + 600)


def test_a_finished_size_stands_in_for_readings() -> None:
    bore = cylinder((), finished_size=BORE, finished_half_width=400)
    assert deciding(bore) == ()
    assert extremes(bore) == (BORE - 400, BORE + 400)


@pytest.mark.parametrize(
    ("bore", "says"),
    [
        (cylinder((at(3, 0, 0),)), "no reading decides.*depths 3 mm.*from 6 to 78 mm"),
        (cylinder((at(40, 0, 0),), zone=None, ports=(EXHAUST,)), "outside the port bands"),
        (cylinder(()), "no readings.*finished_size"),
    ],
)
def test_a_bore_without_deciding_readings_is_refused(bore: Cylinder, says: str) -> None:
    for ask in (extremes, lambda bore: bore_form(bore, "by axis")):
        with pytest.raises(InputError, match=says) as caught:
            ask(bore)
        assert caught.value.row == "cylinder 1"


def test_form_by_axis() -> None:
    form = bore_form(cylinder(WORN, ports=(EXHAUST,)), "by axis")
    assert [depth.out_of_round // UM for depth in form.by_depth] == [30, 16, 12, 6]
    assert [(axis.angle, axis.taper // UM, axis.spread // UM) for axis in form.by_axis] == [
        (THRUST, 116, 116),
        (PIN, 92, 92),
    ]
    assert (form.out_of_round, form.taper) == (30 * UM, 116 * UM)
    assert (form.largest, form.largest_at) == (BORE + 13_400, at(8, THRUST, 134))
    assert (form.smallest, form.smallest_at) == (BORE + 1_200, at(74, PIN, 12))
    assert (form.shape, form.shape_at) == ("tapered", "top")
    assert (form.readings_deciding, form.readings_shown) == (8, 12)


def test_wear_counts_from_the_smallest_size_outside_zone_and_ports() -> None:
    low_port = PortBand(top=79 * MM, bottom=90 * MM, decides=True)
    readings = (*WORN, at(80, THRUST, -50))
    form = bore_form(cylinder(readings, ports=(EXHAUST, low_port)), "by axis")
    assert (form.reference, form.wear) == (BORE, 134 * UM)
    stated = bore_form(cylinder(WORN, unworn=BORE - 500, ports=(EXHAUST,)), "by axis")
    assert (stated.reference, stated.wear) == (BORE - 500, 139 * UM)
    unknown = bore_form(cylinder(WORN, zone=None), "by axis")
    assert (unknown.reference, unknown.wear) == (None, None)


def test_port_excess_is_shown_even_though_it_does_not_decide() -> None:
    form = bore_form(cylinder(WORN, ports=(EXHAUST,)), "by axis")
    assert form.port_excess == 26 * UM
    assert any("port" in caution for caution in form.cautions)
    assert bore_form(cylinder(WORN), "by axis").port_excess is None
    level = (*rows((8, 9, 5), (20, 7, 4), (74, 2, 1)), at(40, THRUST, 9))
    form = bore_form(cylinder(level, ports=(EXHAUST,)), "by axis")
    assert form.port_excess == 0
    assert not any("port" in caution for caution in form.cautions)


def test_taper_keeps_its_sign() -> None:
    form = bore_form(cylinder(rows((8, 0, 5), (40, 10, 10), (76, 30, 20))), "by axis")
    assert form.taper == -30 * UM
    assert (form.shape, form.shape_at) == ("tapered", "bottom")


def test_the_six_reading_convention() -> None:
    # Top, middle, bottom; the thrust axis is the first. Workshop manuals.
    bore = cylinder(rows((10, 80, 40), (40, 60, 30), (70, 20, 35)))
    assert six_readings(bore) == ((80 - 30) * UM, (80 - 35) * UM)
    form = bore_form(bore, "six readings")
    assert (form.out_of_round, form.taper) == (50 * UM, 45 * UM)
    assert form.largest == BORE + 8_000
    by_axis = bore_form(bore, "by axis")
    assert (by_axis.out_of_round, by_axis.taper) == (40 * UM, 60 * UM)


def test_the_first_axis_is_the_one_with_the_largest_size() -> None:
    bore = cylinder(rows((10, 40, 80), (40, 30, 60), (70, 35, 20)))
    assert six_readings(bore)[0] == (80 - 30) * UM
    tied = cylinder(rows((10, 80, 80), (40, 30, 60), (70, 35, 20)))
    assert six_readings(tied)[0] == (80 - 20) * UM  # the thrust axis is the first


@pytest.mark.parametrize(
    "readings",
    [
        rows((10, 1, 2), (40, 1, 2)),
        rows((10, 1, 2), (30, 1, 2), (50, 1, 2), (70, 1, 2)),
        (*rows((10, 1, 2), (40, 1, 2)), at(70, 0, 1), at(70, 45, 1)),
        (*rows((10, 1, 2), (40, 1, 2)), at(70, 0, 1), at(70, 0, 3)),
    ],
)
def test_the_convention_needs_two_axes_at_three_depths(readings: tuple[Reading, ...]) -> None:
    with pytest.raises(InputError, match="two axes at each of three depths"):
        bore_form(cylinder(readings), "six readings")


@pytest.mark.parametrize(("lobes", "spread"), [(2, 20), (3, 0), (5, 0)])
def test_two_point_sizes_are_blind_to_odd_lobing(lobes: int, spread: int) -> None:
    """Geometry: radius error 5 um cos(n theta) gives 20 um for n = 2 and none for n = 3, 5."""

    def radius(degrees: int) -> float:
        return BORE / 2 + 5 * UM * math.cos(lobes * math.radians(degrees))

    readings = tuple(
        Reading(depth=40 * MM, angle=angle, size=round(radius(angle) + radius(angle + 180)))
        for angle in range(0, 180, 10)
    )
    form = bore_form(cylinder(readings), "by axis")
    assert form.out_of_round == spread * UM
    assert form.cautions[0] == LOBING_CAUTION


@pytest.mark.parametrize(
    ("readings", "says"),
    [
        (tuple(at(depth, 0, 1) for depth in (8, 40, 70)), "out-of-round cannot be told"),
        ((*rows((8, 1, 1), (40, 1, 1)), at(70, 0, 1)), "At 1 of 3 depths only one axis"),
        (rows((8, 1, 1), (60, 1, 1)), "too few to see a barrel"),
        (rows((30, 1, 1), (50, 1, 1), (70, 1, 1)), "top quarter of the zone"),
        (rows((8, 1, 1), (10, 1, 1), (76, 1, 1)), "More than half of the zone"),
        (rows((3, 40, 40), (8, 1, 1), (40, 1, 1), (70, 1, 1)), "unworn reference is larger"),
    ],
)
def test_cautions(readings: tuple[Reading, ...], says: str) -> None:
    cautions = bore_form(cylinder(readings), "by axis").cautions
    assert any(says in caution for caution in cautions)


def test_a_well_measured_bore_has_only_the_caution_on_lobing() -> None:
    bore = cylinder(rows((8, 9, 5), (40, 6, 4), (74, 2, 1)))
    assert bore_form(bore, "by axis").cautions == (LOBING_CAUTION,)


@pytest.mark.parametrize(
    ("depths", "says"),
    [
        ((24, 60, 70), False),  # a quarter of 72 mm below the top, half of it between two
        ((25, 60, 70), True),
        ((6, 42, 78), False),
        ((6, 41, 78), True),
    ],
)
def test_how_much_of_the_zone_may_go_unread(depths: tuple[int, int, int], says: bool) -> None:
    bore = cylinder(rows(*((depth, 1, 1) for depth in depths)))
    assert (len(bore_form(bore, "by axis").cautions) > 1) is says


def test_the_shape_is_that_of_the_axis_with_the_largest_spread() -> None:
    form = bore_form(cylinder(rows((8, 20, 0), (40, 10, 40), (74, 0, 0))), "by axis")
    assert form.shape == "barrel"


sheets = st.lists(
    st.builds(at, st.integers(0, 90), st.sampled_from([0, 45, 90]), st.integers(-50, 200)),
    min_size=1,
    max_size=14,
)


@given(sheets)
def test_form_against_the_definitions(sheet: list[Reading]) -> None:
    inside = [r for r in sheet if 6 * MM <= r.depth <= 78 * MM and not 34 <= r.depth / MM <= 58]
    bore = cylinder(tuple(sheet), ports=(EXHAUST,))
    if not inside:
        with pytest.raises(InputError):
            bore_form(bore, "by axis")
        return
    form = bore_form(bore, "by axis")
    assert (form.smallest, form.largest) == extremes(bore)
    assert form.largest == max(r.size for r in inside)
    assert form.out_of_round == max(
        a.size - b.size for a in inside for b in inside if a.depth == b.depth
    )
    for axis in form.by_axis:
        own = [r for r in inside if r.angle == axis.angle]
        top, bottom = min(r.depth for r in own), max(r.depth for r in own)
        assert axis.taper == max(r.size for r in own if r.depth == top) - max(
            r.size for r in own if r.depth == bottom
        )
        assert axis.spread == max(r.size for r in own) - min(r.size for r in own)
    assert abs(form.taper) == max(abs(axis.taper) for axis in form.by_axis)
