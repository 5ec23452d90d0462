"""Guards of bores whose form is told, against the probabilities they must leave."""

from __future__ import annotations

import pytest

from fitsolver.metrology.guards import Asked, guard_of
from fitsolver.metrology.sources import Sources
from fitsolver.metrology.spread import Spread
from fitsolver.metrology.uncertainty import fit_spreads
from fitsolver.records.base import FitName
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.measuring import Instrument, Measuring
from fitsolver.records.readings import Reading, Zone

GAUGE = Instrument(kind="bore gauge", standard_uncertainty=100, repeatability=80, resolution=100)
ASKED = Asked(Measuring(instruments=(GAUGE,), decision="guarded", probability=950_000))
SIZES = (6_200_300, 6_200_100, 6_200_200, 6_200_000)


def bore() -> Cylinder:
    places = [(depth, angle) for depth in (1_500_000, 4_000_000) for angle in (0, 90)]
    return Cylinder(
        name="1",
        material="iron",
        zone=Zone(top=500_000, bottom=5_000_000),
        readings=tuple(
            Reading(depth=depth, angle=angle, size=size)
            for (depth, angle), size in zip(places, SIZES, strict=True)
        ),
    )


def spread(fit: FitName) -> Spread:
    job = Job(
        name="one",
        finishing="already finished",
        cylinders=(bore(),),
        measuring=Measuring(instruments=(GAUGE,)),
    )
    found = fit_spreads(
        job,
        bore(),
        bore=6_200_300,
        piston=6_195_000,
        piston_measured=True,
        piston_expansion=20_000,
        sources=Sources(),
    )
    return found[fit, None]


def test_one_sided_leaves_the_probability_wanted() -> None:
    one = spread("clearance")
    guard = guard_of(ASKED, (None, 10_000), one, 300)
    assert one.within(float("-inf"), guard) >= 0.95 > one.within(float("-inf"), guard - 1)
    guard = guard_of(ASKED, (0, None), one, 300)
    assert one.within(-guard, float("inf")) >= 0.95 > one.within(-(guard - 1), float("inf"))


def test_two_sided_leaves_it_at_either_edge() -> None:
    """Wherever the readings lie inside the guarded window, both ends conform as wanted."""
    one = spread("clearance")
    width, apart = 3_000, 300
    guard = guard_of(ASKED, (0, width), one, apart)
    room = width - apart
    for above in range(guard, room - guard + 1, 50):
        assert one.within(-(room - above), above) >= 0.95
    near, far = guard - 2, room - guard + 2
    assert min(one.within(-near, far), one.within(-far, near)) < 0.95


def test_a_window_without_room_keeps_none() -> None:
    one = spread("clearance")
    assert 2 * guard_of(ASKED, (0, 500), one, 300) > 500


def test_the_guard_is_more_than_that_of_the_instruments() -> None:
    """What lies beyond the readings counts beside its uncertainty."""
    one = spread("clearance")
    bare = Spread(one.error)
    told, untold = (guard_of(ASKED, (None, 10_000), s, 300) for s in (one, bare))
    beyond = one.beyond(high=True)
    assert beyond is not None and beyond > 0
    assert told > untold + beyond


def test_a_factor_counts_the_expected_distance_too() -> None:
    one = spread("clearance")
    asked = Asked(ASKED.measuring.model_copy(update={"probability": None, "factor": 2_000}))
    beyond = one.beyond(high=True)
    assert beyond is not None
    wanted = beyond + 2 * one.deviation(high=True)
    assert guard_of(asked, (None, 10_000), one, 300) == pytest.approx(wanted, abs=1)


def test_a_share_scales_it() -> None:
    one = spread("clearance")
    whole, half = (guard_of(Asked(ASKED.measuring, s), (None, 9_999), one, 300) for s in (1.0, 0.5))
    assert half == pytest.approx(whole / 2, abs=2)


def test_out_of_round_is_guarded_from_above() -> None:
    one = spread("out_of_round")
    guard = guard_of(ASKED, (None, 2_000), one, 0)
    assert one.within(float("-inf"), guard) >= 0.95 > one.within(float("-inf"), guard - 2)
