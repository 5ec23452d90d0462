"""What the readings of a cylinder can tell: the whole bore, or only the places read."""

from __future__ import annotations

import pytest

from fitsolver.metrology.next_reading import next_reading
from fitsolver.metrology.whole_bore import Scatter, odds_of, prior_of, tried_here, whole_bore
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.measuring import Instrument, Measuring
from fitsolver.records.readings import PortBand, Reading, Zone

MM = 100_000
ZONE = Zone(top=5 * MM, bottom=55 * MM)
SCATTER = Scatter(80.0, 29.0)
GAUGE = Instrument(kind="bore gauge", repeatability=80, resolution=100)


def bore(*places: tuple[int, int, int], **facts: object) -> Cylinder:
    """Return a cylinder read at depth (mm), angle, size above 62 mm (ticks)."""
    readings = tuple(
        Reading(depth=depth * MM, angle=angle, size=62 * MM + size) for depth, angle, size in places
    )
    return Cylinder.model_validate(
        {"name": "1", "material": "iron", "zone": ZONE, "readings": readings, **facts}
    )


def job(cylinder: Cylinder, **facts: object) -> Job:
    whole = {"name": "one", "finishing": "already finished", "cylinders": (cylinder,)}
    return Job.model_validate({**whole, "measuring": Measuring(instruments=(GAUGE,)), **facts})


FOUR = ((15, 0, 300), (15, 90, 100), (45, 0, 200), (45, 90, 0))


@pytest.mark.parametrize(
    ("places", "facts", "told"),
    [
        (FOUR, {}, "whole bore"),
        (FOUR, {"zone": None}, "places read"),
        (FOUR[:3], {}, "places read"),
        (((15, 0, 0), (15, 90, 0), (15, 45, 0), (15, 135, 0)), {}, "places read"),
        (((10, 0, 0), (20, 0, 0), (30, 0, 0), (40, 0, 0)), {}, "places read"),
        (FOUR[:1], {"form_allowance": 200}, "whole bore"),
        ((*FOUR[:2], (2, 0, 0), (2, 90, 0)), {}, "places read"),  # outside the zone
    ],
)
def test_what_odds_hold_of(
    places: tuple[tuple[int, int, int], ...], facts: dict[str, object], told: str
) -> None:
    assert odds_of(bore(*places, **facts)) == told


def test_a_stated_allowance_takes_the_place_of_the_model() -> None:
    one = bore(*FOUR, form_allowance=200)
    assert whole_bore(job(one), one, SCATTER, "whole bore") is None
    assert next_reading(job(one), one) is None


def test_one_reading_tells_of_no_form_where_it_was_read() -> None:
    one = bore((15, 0, 0), zone=None)
    assert whole_bore(job(one), one, SCATTER, "places read") is None
    assert whole_bore(job(one), one, SCATTER, "whole bore") is None


def test_a_zone_without_a_port_has_more_to_hide() -> None:
    """Places beside a port that does not decide are not judged."""
    alike = tuple((depth, angle, 0) for depth in (7, 12, 17) for angle in (0, 90))
    port = PortBand(top=25 * MM, bottom=55 * MM)
    beyond = []
    for one in (bore(*alike), bore(*alike, ports=(port,))):
        found = whole_bore(job(one), one, SCATTER, "whole bore")
        assert found is not None
        beyond.append(found.mean(found.sample.largest))
    assert beyond[1] < beyond[0]


def test_worn_bores_are_less_known_than_finished_ones() -> None:
    one, plated = bore(*FOUR), bore(*FOUR, material="nickel plated")
    finished, worn = job(one), job(one, finishing="set size")
    assert prior_of(finished, one).along < prior_of(worn, one).along
    assert prior_of(worn, one).top > prior_of(worn, one).bottom
    assert prior_of(job(plated, finishing="set size"), plated).along < prior_of(worn, one).along


def test_repeats_make_a_reading_surer() -> None:
    again = Reading(depth=0, angle=0, size=100, repeats=(100, 100, 100, 100))
    assert SCATTER.of(again) == pytest.approx((80**2 / 4 + 29**2) ** 0.5)
    assert SCATTER.of(again.model_copy(update={"repeats": ()})) == SCATTER.once


def test_a_gap_is_tried_here_in_a_reserved_ring_and_a_bore_that_was_read() -> None:
    one = bore(*FOUR)
    assert tried_here(one, "1", 62 * MM + 300)
    assert not tried_here(one, "1", 62 * MM + 301)
    assert not tried_here(one, "2", 62 * MM + 300)
    assert not tried_here(one, None, 62 * MM + 300)


def test_the_next_reading_leaves_the_largest_size_surer() -> None:
    one = bore(*FOUR)
    found = next_reading(job(one), one)
    assert found is not None
    assert (found.place.depth, found.place.angle) == (30 * MM, 0)
    assert 0 < found.then < found.now


def test_of_one_axis_the_other_is_read_next() -> None:
    places = [(depth, 0, depth) for depth in range(6, 56, 7)]
    one = bore(*places)
    found = next_reading(job(one), one)
    assert found is not None
    assert (found.place.depth, found.place.angle) == (55 * MM, 90)
    assert found.then < 0.9 * found.now


def test_a_bore_read_closely_has_no_next_place() -> None:
    one = bore(*((depth, angle, 0) for depth in range(6, 56, 7) for angle in (0, 90)))
    assert next_reading(job(one), one) is None


def test_across_45_degrees_is_read_where_two_axes_are_read_closely() -> None:
    """Two axes square to each other say nothing of an oval at 45° to them."""
    one = bore(*((d, angle, 20_000 // d - 8 * angle) for d in range(6, 56, 7) for angle in (0, 90)))
    found = next_reading(job(one, finishing="piston in hand"), one)
    assert found is not None
    assert (found.place.depth, found.place.angle % 90) == (6 * MM, 45)
