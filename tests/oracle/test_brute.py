"""The brute force on bores and fits small enough to be worked out by hand."""

from __future__ import annotations

import pytest

from fitsolver.records.base import RULES
from fitsolver.records.catalogue import Route
from fitsolver.records.job import (
    Engine,
)
from fitsolver.records.readings import PortBand, Reading, Zone

from .brute import best_plan
from .brute_cylinder import PI, over_pi, times_pi
from .small import MM, bore, catalogue, groove, hone, job, mm, piston, ring, window
from .worked import CLEARANCE, OVER, RING, STANDARD, levels, only


def test_bore_inside_the_window_is_left_as_it_is():
    # 62.000 - 61.940 = 0.060 lies inside 0.05..0.08, so nothing needs to go.
    plan = best_plan(
        job(bore("1", mm("62")), windows=(CLEARANCE,)), catalogue(STANDARD, RING, hone())
    )
    assert only(plan).route.name == "as is"
    assert levels(plan) == {
        "restored": 0,
        "largest_removal": 0,
        "total_removal": 0,
        "filing": 0,
        "price": 1_200,
        "days": 0,
    }
    assert plan.order == {("P-0", "stock"): 1, ("R-0", "stock"): 1}


@pytest.mark.parametrize(
    ("wear", "number", "removal"),
    [
        # 62.020 cleans up at 62.020 and 62.020 - 61.94 = 0.080 is just inside.
        ("62.02000", "P-0", "0.00000"),
        # One tick more: 0.08001 is outside. The next piston wants 62.19 + 0.05 = 62.24.
        ("62.02001", "P-25", "0.21999"),
        # 62.24 itself needs nothing, 62.27 is 62.19 + 0.08, one tick more has no piston.
        ("62.27000", "P-25", "0.00000"),
    ],
)
def test_next_size_once_the_window_is_passed(wear: str, number: str, removal: str):
    parts = catalogue(STANDARD, OVER, RING, hone())
    plan = best_plan(job(bore("1", mm(wear)), windows=(CLEARANCE,)), parts)
    assert only(plan).piston.part.number == number
    assert only(plan).finish.removal == mm(removal)


def test_nothing_fits_past_the_largest_size():
    parts = catalogue(STANDARD, OVER, RING, hone())
    assert best_plan(job(bore("1", mm("62.27001")), windows=(CLEARANCE,)), parts) is None


def test_piston_in_hand_follows_each_piston_of_the_tolerance():
    # Skirt 61.940..61.950, half-width 0.005, window 0.05..0.08, guard none.
    # V = 61.940 + 0.050 + 0.005 = 61.995 and W = 61.950 + 0.055 = 62.005; clean-up asks
    # 61.980 + 0.010 + 0.005 = 61.995. Each piston sees at most 0.060: inside.
    # L = 61.990, H = 62.010, removal = 62.005 - 61.970.
    parts = catalogue(
        piston("P", mm("62"), mm("61.94"), mm("61.95")),
        RING,
        hone(mm("0.005"), min_cut=mm("0.010")),
    )
    sizes = mm("61.98"), mm("61.97")
    plan = best_plan(job(bore("1", *sizes), windows=(CLEARANCE,), routes=("finish hone",)), parts)
    finish = only(plan).finish
    assert (finish.low, finish.high) == (mm("61.99"), mm("62.01"))
    assert (finish.size, finish.removal) == (mm("62.005"), mm("0.035"))


def test_set_size_serves_every_piston_of_the_tolerance():
    # The same bore bored to a set size: F >= 61.950 + 0.05 + 0.005 = 62.005 and
    # F <= 61.940 + 0.08 - 0.005 = 62.015. A skirt up to 61.9601 leaves F >= 62.0151: none.
    route = hone(mm("0.005"), min_cut=mm("0.010"))
    case = job(
        bore("1", mm("61.98"), mm("61.97")),
        windows=(CLEARANCE,),
        finishing="set size",
        routes=("finish hone",),
    )
    plan = best_plan(case, catalogue(piston("P", mm("62"), mm("61.94"), mm("61.95")), RING, route))
    assert only(plan).finish == (mm("62"), mm("62.01"), mm("62.005"), mm("0.035"))
    wide = piston("P", mm("62"), mm("61.94"), mm("61.9601"))
    assert best_plan(case, catalogue(wide, RING, route)) is None
    follows = best_plan(
        case.model_copy(update={"finishing": "piston in hand"}), catalogue(wide, RING, route)
    )
    assert only(follows).finish.size == mm("62.0151")


def test_scratch_counts_twice_and_rules_out_leaving_the_bore():
    # A scratch 0.03 deep is gone at 62.00 + 0.06 = 62.06; with P-0 the clearance would be
    # 0.12, with P-25 the bore must grow to 62.24 anyway.
    parts = catalogue(STANDARD, OVER, RING, hone())
    plan = best_plan(job(bore("1", mm("62"), scratch=mm("0.03")), windows=(CLEARANCE,)), parts)
    assert (only(plan).piston.part.number, only(plan).finish.removal) == ("P-25", mm("0.24"))


def test_guard_narrows_both_sides():
    # 62.000 - 61.940 = 0.060; guarded window 0.065..0.065: hone to 62.005.
    guarded = window("clearance", mm("0.05"), mm("0.08"), guard=mm("0.015"))
    plan = best_plan(
        job(bore("1", mm("62")), windows=(guarded,)), catalogue(STANDARD, RING, hone())
    )
    assert only(plan).finish.removal == mm("0.005")


def test_window_per_bore_is_taken_at_the_nominal_bore_and_rounded_inwards():
    # 0.001 of 62.005 mm is 0.062005, up to the tick 0.06201: finish 61.94 + 0.06201.
    parts = catalogue(piston("P", mm("62.005"), mm("61.94")), RING, hone())
    low = window("clearance", 10**6, None, per_bore=True)
    plan = best_plan(job(bore("1", mm("61.99")), windows=(low,)), parts)
    assert only(plan).finish.size == mm("62.00201")


def test_zone_and_ports_choose_what_decides():
    # Outside the zone 61.9 (unworn) and in the port 62.5 are shown only: 62.00 decides.
    readings = (
        Reading(depth=2 * MM, angle=0, size=mm("61.9")),
        Reading(depth=20 * MM, angle=0, size=mm("62")),
        Reading(depth=50 * MM, angle=0, size=mm("62.5")),
    )
    facts = {"zone": Zone(top=5 * MM, bottom=70 * MM), "readings": readings}
    port = PortBand(top=45 * MM, bottom=55 * MM)
    parts = catalogue(STANDARD, RING, hone())
    plan = best_plan(job(bore("1", ports=(port,), **facts), windows=(CLEARANCE,)), parts)
    assert only(plan).finish[:2] == (mm("62"), mm("62"))
    decides = port.model_copy(update={"decides": True})
    assert best_plan(job(bore("1", ports=(decides,), **facts), windows=(CLEARANCE,)), parts) is None


def test_form_rules_only_a_bore_that_is_left():
    # 62.00 and 61.99 taper by 0.01 from top to bottom. With at most 0.009 it is honed: the
    # clearance 0.06 at 62.00 stays, so the finish is 62.00 and 0.01 goes from the smallest.
    taper = window("taper", None, mm("0.009"))
    parts = catalogue(STANDARD, RING, hone())
    worn = bore("1", mm("62"), mm("61.99"))
    assert only(best_plan(job(worn, windows=(CLEARANCE,)), parts)).route.name == "as is"
    plan = best_plan(job(worn, windows=(CLEARANCE, taper)), parts)
    assert (only(plan).route.name, only(plan).finish.removal) == ("finish hone", mm("0.01"))


def test_ring_over_the_bore_is_filed():
    # A ring for 62.05 with 0.20 in a bore of 62.00 has 0.20 - 0.05 pi = 0.0429203...;
    # to 0.25 it wants 0.2070797, up to the tick 0.20708.
    over = ring("R-5", mm("62.05"), mm("0.20"), file_most=mm("0.20708"))
    gap = window("end_gap", mm("0.25"), mm("0.40"))
    case = job(bore("1", mm("62")), windows=(CLEARANCE, gap))
    assert levels(best_plan(case, catalogue(STANDARD, over)))["filing"] == mm("0.20708")
    short = over.model_copy(update={"file_most": mm("0.20707")})
    assert best_plan(case, catalogue(STANDARD, short)) is None


def test_widest_supplied_gap_keeps_to_the_top():
    # 0.20..0.30 at 62.00 in a bore of 62.02: 0.30 + 0.02 pi = 0.3628319: top 0.36284 holds.
    parts = catalogue(piston("P", mm("62"), mm("61.96")), ring("R", mm("62"), mm("0.2"), mm("0.3")))
    for top, holds in (("0.36284", True), ("0.36283", False)):
        case = job(bore("1", mm("62.02")), windows=(CLEARANCE, window("end_gap", None, mm(top))))
        assert (best_plan(case, parts) is not None) is holds


def test_a_filed_ring_keeps_to_the_top_where_the_bore_is_widest():
    # Filed to 0.20 at 62.00, it gapes 0.20 + 0.02 pi = 0.2628319 at 62.02: top 0.26284 holds.
    tight = ring("R", mm("62"), mm("0.10"), file_most=mm("0.2"))
    for top, holds in (("0.26284", True), ("0.26283", False)):
        gap = window("end_gap", mm("0.20"), mm(top))
        case = job(bore("1", mm("62.02"), mm("62")), windows=(CLEARANCE, gap))
        assert (best_plan(case, catalogue(STANDARD, tight)) is not None) is holds


def test_ring_seat_by_window_and_by_the_ring():
    # Ring for 62.05 over a bore of 62.00: 0.05 over.
    parts = [STANDARD, ring("R", mm("62.05"), mm("0.2"), seat_over=mm("0.05"))]
    case = job(bore("1", mm("62")), windows=(CLEARANCE,))
    assert best_plan(case, catalogue(*parts)) is not None
    parts[1] = parts[1].model_copy(update={"seat_over": mm("0.04999")})
    assert best_plan(case, catalogue(*parts)) is None
    parts[1] = parts[1].model_copy(update={"seat_over": None})
    seat = window("ring_seat", mm("0.05001"), None)
    assert (
        best_plan(case.model_copy(update={"windows": (CLEARANCE, seat)}), catalogue(*parts)) is None
    )


def test_filing_before_removal_opens_the_bore_instead():
    # Gap 0.25 at 62.00, window from 0.26: filing 0.01 at 62.00. Set size, filing first: the
    # bore grows to 62.00 + 0.01/pi = 62.0031831 -> 62.00319 instead of filing.
    gap = window("end_gap", mm("0.26"), None)
    case = job(
        bore("1", mm("62")),
        windows=(CLEARANCE, gap),
        finishing="set size",
        best=("filing",),
    )
    parts = catalogue(STANDARD, ring("R", mm("62"), mm("0.25"), file_most=mm("0.1")), hone())
    plan = best_plan(case, parts)
    assert (levels(plan)["filing"], only(plan).finish.size) == (0, mm("62.00319"))
    usual = best_plan(case.model_copy(update={"best": ("restored",)}), parts)
    assert (levels(usual)["filing"], only(usual).route.name) == (mm("0.01"), "as is")


def test_restoring_is_the_last_resort():
    # 62.50 is past every piston. Restored to 61.90 and honed to 61.94 + 0.05 = 61.99: 0.09
    # counts from the restored size.
    sleeve = Route(name="sleeve", kind="restore", restored_bore=mm("61.9"), min_cut=mm("0.05"))
    parts = catalogue(STANDARD, OVER, RING, hone(), sleeve)
    plan = best_plan(job(bore("1", mm("62.5")), windows=(CLEARANCE,)), parts)
    assert levels(plan)["restored"] == 1
    assert levels(plan)["largest_removal"] == mm("0.09")
    # 62.10 can still be honed to 62.24 and is, although 0.14 goes.
    kept = best_plan(job(bore("1", mm("62.1")), windows=(CLEARANCE,)), parts)
    assert (levels(kept)["restored"], levels(kept)["largest_removal"]) == (0, mm("0.14"))
    # ... unless removal counts first.
    case = job(bore("1", mm("62.1")), windows=(CLEARANCE,), best=("largest_removal",))
    assert levels(best_plan(case, parts))["restored"] == 1


@pytest.mark.parametrize(
    ("rule", "case", "parts"),
    [
        # A pin of 18 mm does not go into an engine of 16 mm.
        (
            "compatibility",
            {"engine": Engine(pin_diameter=mm("16"))},
            (piston("P", mm("62"), mm("61.94"), pin_diameter=mm("18")), RING),
        ),
        # A ring 2.6 mm deep in a groove of 2.5 mm.
        (
            "compatibility",
            {},
            (
                piston("P", mm("62"), mm("61.94"), grooves=(groove(1, depth=mm("2.5")),)),
                ring("R", mm("62"), mm("0.2"), radial_depth=mm("2.6")),
            ),
        ),
        # Without a window a ring of 1.46 mm does not go into a groove of 1.45 mm.
        (
            "side_clearance",
            {},
            (piston("P", mm("62"), mm("61.94"), grooves=(groove(1, mm("1.45"), mm("1.5")),)), RING),
        ),
        # Groove 1.50 and ring 1.46 give 0.04, below 0.05.
        (
            "side_clearance",
            {"windows": (CLEARANCE, window("side_clearance", mm("0.05"), None))},
            (STANDARD, RING),
        ),
        # The wall ends at 61.999.
        ("bore_limit", {"engine": Engine(bore_limit=mm("61.999"))}, (STANDARD, RING)),
        # pi/4 62^2 50 mm3 = 150953.5 mm3 (1 mm3 = 10^15 cubic ticks).
        (
            "displacement",
            {"engine": Engine(stroke=50 * MM, displacement_limit=150_953 * 10**15)},
            (STANDARD, RING),
        ),
    ],
)
def test_a_rule_on_its_own(rule: str, case: dict, parts: tuple):
    """The rule alone stands in the way: without it there is a plan."""
    assert rule in RULES
    asked = job(bore("1", mm("62")), **{"windows": (CLEARANCE,), **case})
    assert best_plan(asked, catalogue(*parts)) is None
    assert best_plan(asked, catalogue(*parts), frozenset({rule})) is not None


def test_displacement_just_inside():
    # pi/4 62^2 50 = 150953.50... mm3
    engine = Engine(stroke=50 * MM, displacement_limit=150_954 * 10**15)
    case = job(bore("1", mm("62")), windows=(CLEARANCE,), engine=engine)
    assert best_plan(case, catalogue(STANDARD, RING)) is not None
    more = engine.model_copy(update={"other_bores": (1,)})
    assert (
        best_plan(case.model_copy(update={"engine": more}), catalogue(STANDARD, RING)) is not None
    )


def test_the_cylinders_windows_come_before_the_jobs():
    # The cylinder's window for every groove (0.10..0.30) stands before the job's for groove
    # 1 (0.25..0.30); within one sheet the groove's own comes first.
    own = bore("1", mm("62"), windows=(window("end_gap", mm("0.10"), mm("0.30")),))
    job_wide = window("end_gap", mm("0.25"), mm("0.30"), groove=1)
    parts = catalogue(STANDARD, RING)
    assert best_plan(job(own, windows=(CLEARANCE, job_wide)), parts) is not None
    both = bore("1", mm("62"), windows=(*own.windows, job_wide))
    assert best_plan(job(both, windows=(CLEARANCE,)), parts) is None


def test_route_takes_its_materials_and_its_cut():
    # 61.90 wants 61.99: 0.09 is above 0.08; and the route is not for plated bores.
    case = job(bore("1", mm("61.9")), windows=(CLEARANCE,))
    for facts, holds in (({"max_cut": mm("0.09")}, True), ({"max_cut": mm("0.08")}, False)):
        assert (best_plan(case, catalogue(STANDARD, RING, hone(**facts))) is not None) is holds
    iron = hone(materials=("iron",))
    plated = job(bore("1", mm("61.9"), material="plated"), windows=(CLEARANCE,))
    assert best_plan(plated, catalogue(STANDARD, RING, iron)) is None


def test_pi_is_pi():
    # 22/7 is above and 333/106 below pi; a thousand ticks are 3141.59 and 318.3 ticks.
    assert 333 * 7 * 106 < PI * 7 * 106 * 106 < 22 * 106 * 106
    assert (times_pi(1_000), times_pi(-1_000)) == (3_141, -3_142)
    assert (over_pi(1_000), over_pi(-1_000)) == (318, -319)
