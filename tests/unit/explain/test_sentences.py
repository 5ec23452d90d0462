"""The figures in the sentences on what fails: those of the window that is really missed."""

from __future__ import annotations

from typing import Any

from fitsolver.records.job import Engine, InHand, Terms
from fitsolver.records.windows import Window
from tests.unit.rules import small
from tests.unit.rules.small import fails


def clearance(low: int, high: int, **more: Any) -> Window:
    return Window(fit="clearance", low=low, high=high, **more)


def test_a_kept_ring_misses_the_service_limit_and_is_told_so() -> None:
    """Groove 2.03 to 2.04 less ring 1.98 to 1.99: 0.04 to 0.06 mm."""
    window = Window(fit="side_clearance", low=1_000, high=2_000, service_high=5_500)
    kept = small.job(
        window, in_hand=(InHand(number="R", kept=True),), cylinders=(small.cylinder(),)
    )
    parts = small.catalogue(rings=(small.part(small.RING, price=None),))
    said = fails("side_clearance", kept, parts)
    assert "0.040 to 0.060 mm with R" in said
    assert "0.010 to 0.020 mm asked" in said  # the catalogue's ring comes first by name
    worn = small.cylinder(piston="P", piston_kept=True)
    said = fails("side_clearance", small.job(window, cylinders=(worn,)), parts)
    assert "0.010 to 0.055 mm asked" in said


def test_a_window_without_a_lower_edge_still_wants_the_ring_to_go_in() -> None:
    wide = small.part(small.RING, width=small.Range(low=203_500, high=204_000))
    window = Window(fit="side_clearance", high=6_000)
    said = fails("side_clearance", small.job(window), small.catalogue(rings=(wide,)))
    assert "0.000 to 0.060 mm asked; -0.010 to 0.005 mm with R" in said


def test_the_rings_own_limit_is_named_where_it_is_the_tighter() -> None:
    """The ring is made for 62.100, over the bore of 62.005 by 0.095; it may be by 0.02."""
    ring = small.part(small.RING, gauge_diameter=6_210_000, seat_over=2_000)
    window = Window(fit="ring_seat", high=30_000)
    task = small.job(window, clearance(4_000, 8_000))
    said = fails("ring_seat", task, small.catalogue(rings=(ring,)))
    assert "up to 0.020 mm asked; 0.095 mm is R over a bore of 62.005 mm" in said


def test_the_edge_that_a_form_misses_is_named() -> None:
    window = Window(fit="taper", low=1_000, high=5_000)
    said = fails("form", small.job(window, routes=("as is",)))
    assert said == "0.010 to 0.050 mm asked of taper; 0.000 mm found"


def test_restoring_does_not_count_from_the_worn_bore() -> None:
    """Only routes that start from the size that is named are listed with it."""
    sleeve = small.part(
        small.HONE, name="sleeve", kind="restore", restored_bore=6_195_000, max_cut=1_000
    )
    shallow = small.part(small.HONE, max_cut=1_000)
    task = small.job(clearance(6_000, 8_000), routes=("hone", "sleeve"))
    said = fails("route_cut", task, small.catalogue(routes=(shallow, sleeve)))
    assert "0.010 mm at most with hone may be cut, counted from 62.000 mm" in said
    assert "sleeve" not in said


def test_a_displacement_is_not_shown_within_a_limit_that_it_exceeds() -> None:
    """62.007 mm by 50 mm is 150.9877 cm3; the limit is a hair below."""
    limit = 150_987 * 10**15
    task = small.job(engine=Engine(stroke=5_000_000, displacement_limit=limit))
    said = fails("displacement", task)
    assert said == "150.98 cm3 permitted; 150.99 cm3 in the best plan without this limit"


def test_both_money_and_time_cannot_be_had_at_once() -> None:
    """Cheap and ordered, or dear and on the shelf."""
    cheap = small.part(small.PISTON, number="Q", price=1_000, stock=0, lead_days=9)
    terms = Terms(budget=6_000, needed_in_days=3)
    said = fails(
        "availability", small.job(terms=terms), small.catalogue(pistons=(small.PISTON, cheap))
    )
    assert said == (
        "39.00 is the cheapest plan, 1 day takes the soonest; none is both in budget and in time"
    )


def test_stack_and_pin_and_material_and_limit() -> None:
    assert "0.490 mm to 0.510 mm" in fails("squish", small.squished(1_000, 2_000))
    other_pin = small.job(engine=Engine(pin_diameter=1_500_000))
    assert fails("compatibility", other_pin) == "gudgeon pin: 15.000 mm asked; 16.000 mm in P"
    plated = small.job(cylinders=(small.cylinder(material="plated"),))
    iron = small.catalogue(routes=(small.part(small.HONE, materials=("iron",)),))
    assert fails("route_cut", plated, iron) == "the bore is plated; for iron only: hone"
    limited = small.job(cylinders=(small.cylinder(bore_limit=6_200_800),))
    assert fails("bore_limit", limited) == (
        "62.008 mm is the largest bore permitted; 62.009 mm is what P with hone comes to: 0.001 mm "
        "too large"
    )


def test_the_largest_piston_is_too_small_to_clean_up() -> None:
    """62.40 + 0.08 = 62.48 at most; 62.60 + 0.01 = 62.61 to clean up; short by 0.13.

    One reading is below 62.48: the metal is there, it is the cleaning up that takes too much.
    """
    piston = small.part(
        small.PISTON, skirt=small.Range(low=6_240_000, high=6_240_000), nominal_bore=6_248_000
    )
    hone = small.part(small.HONE, half_width=0, min_cut=1_000, max_cut=None)
    readings = tuple(
        small.Reading(depth=depth, angle=0, size=size)
        for depth, size in ((1_000_000, 6_260_000), (2_000_000, 6_245_000))
    )
    bore = small.cylinder(readings=readings)
    task = small.job(clearance(4_000, 8_000), cylinders=(bore,))
    said = fails("clean_up", task, small.catalogue(pistons=(piston,), routes=(hone,)))
    assert "62.480 mm at most with the largest piston, P" in said
    assert "62.610 mm at least asked of the finish size, to clean up" in said
    assert said.endswith("0.130 mm short")
