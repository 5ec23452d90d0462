"""The brute force on sets, pieces in hand, purchases and days worked out by hand."""

from __future__ import annotations

from fitsolver.records.catalogue import Kit, KitItem
from fitsolver.records.job import (
    GasketPlace,
    InHand,
    MassMatch,
    PinnedRing,
    SameSize,
    Squish,
    Terms,
)

from .brute import best_plan
from .small import bore, catalogue, gasket, hone, job, mm, ring, span, window
from .worked import CLEARANCE, OVER, RING, STANDARD, levels, only


def test_squish_picks_the_stack():
    # Base 30.00, height 29.50: 0.50 and the gaskets. Window 0.92..1.00 with gaskets of 0.20
    # and 0.25: 0.20 + 0.25 gives 0.95 and 0.25 + 0.25 gives 1.00. Both stacks cost 2.00; the
    # part number level wants as many as may be of the first number.
    parts = catalogue(
        STANDARD.model_copy(update={"compression_height": span(mm("29.5"), mm("29.5"))}),
        RING,
        gasket("G-1", "base", mm("0.20")),
        gasket("G-2", "base", mm("0.25")),
    )
    squish = Squish(base_low=mm("30"), base_high=mm("30"))
    case = job(
        bore("1", mm("62"), squish=squish),
        windows=(CLEARANCE, window("squish", mm("0.92"), mm("1.00"))),
        gaskets=(GasketPlace(place="base", least=1, most=2),),
    )
    plan = best_plan(case, parts)
    assert [g.number for g in only(plan).stacks[0]] == ["G-1", "G-2"]
    assert best_plan(case, catalogue(STANDARD, RING, *parts.gaskets)) is None  # height unknown


def test_shared_stack_is_bought_once():
    parts = catalogue(STANDARD, RING, gasket("G", "head", mm("1"), stock=1))
    place = GasketPlace(place="head", shared=True)
    case = job(bore("1", mm("62")), bore("2", mm("62")), windows=(CLEARANCE,), gaskets=(place,))
    plan = best_plan(case, parts)
    assert plan is not None
    assert plan.order["G", "stock"] == 1
    own = place.model_copy(update={"shared": False})
    assert best_plan(case.model_copy(update={"gaskets": (own,)}), parts) is None


def test_same_size_drags_the_better_bore_along():
    # Cylinder 1 could take P-0, cylinder 2 (62.10) needs P-25: 0.24 and 0.14 go.
    parts = catalogue(STANDARD, OVER, RING, hone())
    case = job(bore("1", mm("62")), bore("2", mm("62.1")), windows=(CLEARANCE,))
    free = levels(best_plan(case, parts))
    assert (free["largest_removal"], free["total_removal"]) == (mm("0.14"), mm("0.14"))
    same = case.model_copy(update={"same_size": (SameSize(cylinders=("1", "2")),)})
    bound = levels(best_plan(same, parts))
    assert (bound["largest_removal"], bound["total_removal"]) == (mm("0.24"), mm("0.38"))


def test_mass_match_counts_tolerances():
    # 199.0 +- 0.5 g and 200.0 +- 0.5 g: 198.5..200.5 is 2.0 g apart at worst.
    light = STANDARD.model_copy(update={"mass": 199_000, "mass_tolerance": 500, "stock": 1})
    heavy = light.model_copy(update={"number": "P-1", "mass": 200_000})
    case = job(bore("1", mm("62")), bore("2", mm("62")), windows=(CLEARANCE,))
    for limit, holds in ((2_000, True), (1_999, False)):
        match = MassMatch(cylinders=("1", "2"), limit=limit)
        plan = best_plan(
            case.model_copy(update={"mass_match": (match,)}), catalogue(light, heavy, RING)
        )
        assert (plan is not None) is holds


def test_measured_piece_in_hand_is_free_and_taken_once():
    # The piece of 61.93 fits one cylinder without honing (0.07); the other one buys P-0.
    held = InHand(number="P-0", size=mm("61.93"))
    case = job(bore("1", mm("62")), bore("2", mm("62")), windows=(CLEARANCE,), in_hand=(held,))
    plan = best_plan(case, catalogue(STANDARD, RING))
    assert plan is not None
    # Which of the two takes it is left to the part number: the catalogue part, "", comes first.
    assert [option.piston.piece for option in plan.cylinders] == ["", "piece 1"]
    assert plan.order == {("P-0", "in hand"): 1, ("P-0", "stock"): 1, ("R-0", "stock"): 2}


def test_reserved_pieces_serve_only_their_cylinder():
    case = job(
        bore("1", mm("62")),
        bore("2", mm("62")),
        windows=(CLEARANCE,),
        in_hand=(InHand(number="P-0", count=2, cylinder="2"),),
    )
    plan = best_plan(case, catalogue(STANDARD, RING))
    assert plan is not None
    assert plan.order == {("P-0", "in hand"): 1, ("P-0", "stock"): 1, ("R-0", "stock"): 2}


def test_kept_piston_is_held_to_the_service_limit():
    # 62.00 - 61.91 = 0.09: above the build limit of 0.08, inside the service limit of 0.10.
    service = window("clearance", mm("0.05"), mm("0.08"), service_high=mm("0.10"))
    pinned = bore("1", mm("62"), piston="P-0", piston_size=mm("61.91"))
    parts = catalogue(STANDARD, RING)
    assert best_plan(job(pinned, windows=(service,)), parts) is None
    kept = pinned.model_copy(update={"piston_kept": True})
    plan = best_plan(job(kept, windows=(service,)), parts)
    assert (only(plan).piston.piece, levels(plan)["price"]) == ("in cylinder 1", 200)


def test_a_kit_is_bought_when_it_is_cheaper():
    # Piston 10.00 and ring 2.00 or both for 11.00; at 12.50 the singles are cheaper.
    items = KitItem(number="P-0", count=1), KitItem(number="R-0", count=1)
    case = job(bore("1", mm("62")), windows=(CLEARANCE,))
    for price, order in (
        (1_100, {("K", "stock"): 1}),
        (1_250, {("P-0", "stock"): 1, ("R-0", "stock"): 1}),
    ):
        kit = Kit(number="K", contents=items, price=price, stock=1)
        plan = best_plan(case, catalogue(STANDARD, RING, kit))
        assert plan is not None
        assert plan.order == order


def test_days_add_up_when_the_bore_waits_for_the_piston():
    # Piston ordered (5 days), hone 2 days: one after the other 7, side by side 5.
    ordered = STANDARD.model_copy(update={"stock": 0, "lead_days": 5})
    parts = catalogue(ordered, RING, hone(days=2))
    case = job(bore("1", mm("61.97")), windows=(CLEARANCE,))
    assert levels(best_plan(case, parts))["days"] == 7
    to_size = case.model_copy(update={"finishing": "set size"})
    assert levels(best_plan(to_size, parts))["days"] == 5
    late = case.model_copy(update={"terms": Terms(needed_in_days=6)})
    assert best_plan(late, parts) is None


def test_no_more_is_ordered_than_stock_falls_short():
    # Two wanted and one on the shelf: one from stock, one ordered, ready in 5 days.
    short = STANDARD.model_copy(update={"stock": 1, "lead_days": 5})
    case = job(bore("1", mm("62")), bore("2", mm("62")), windows=(CLEARANCE,))
    plan = best_plan(case, catalogue(short, RING))
    assert plan is not None
    assert plan.order == {("P-0", "stock"): 1, ("P-0", "order"): 1, ("R-0", "stock"): 2}
    assert levels(plan)["days"] == 5
    assert levels(plan)["price"] == 2_400


def test_budget_counts_parts_and_work():
    # 10.00 + 2.00 + 30.00 for the hone.
    parts = catalogue(STANDARD, RING, hone(cost=3_000))
    case = job(bore("1", mm("61.97")), windows=(CLEARANCE,))
    for budget, holds in ((4_200, True), (4_199, False)):
        plan = best_plan(case.model_copy(update={"terms": Terms(budget=budget)}), parts)
        assert (plan is not None) is holds


def test_pins_narrow_the_choice():
    parts = catalogue(STANDARD, OVER, RING, ring("R-1", mm("62"), mm("0.2")), hone())
    pinned = bore("1", mm("62"), piston="P-25", rings=(PinnedRing(groove=1, number="R-1"),))
    plan = best_plan(job(pinned, windows=(CLEARANCE,)), parts)
    assert (only(plan).piston.part.number, only(plan).rings[0].part.number) == ("P-25", "R-1")
    as_is = pinned.model_copy(update={"route": "as is"})
    assert best_plan(job(as_is, windows=(CLEARANCE,)), parts) is None


def test_equal_plans_are_told_apart_by_part_number():
    twin = STANDARD.model_copy(update={"number": "O-9"})
    plan = best_plan(
        job(bore("1", mm("62")), windows=(CLEARANCE,)), catalogue(STANDARD, twin, RING)
    )
    assert only(plan).piston.part.number == "O-9"
