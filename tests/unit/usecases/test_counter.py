"""The counter: every part set with a verdict per rule, best first; confirmed by the solver."""

from __future__ import annotations

import re
from pathlib import Path
from random import Random
from typing import Any

import pytest

from fitsolver import decide, load
from fitsolver.records.catalogue import Catalogue, Kit, KitItem
from fitsolver.records.job import GasketPlace, InHand, Job, PinnedRing, SameSize, Squish, Terms
from fitsolver.records.verdicts import PartSet
from fitsolver.usecases.counter import JUDGED, sets_of
from tests.oracle.dice import THEMES, Dice
from tests.oracle.generate import draw_case
from tests.oracle.small import bore, catalogue, gasket, groove, hone, job, mm, piston, ring, window

DEMOS = Path(__file__).parents[3] / "catalogs_demo"
BORE = mm("62")
#: The middle one fits a bore of 62.000 best.
TIGHT = piston("P-TIGHT", BORE, mm("61.960"), mm("61.962"))
GOOD = piston("P-GOOD", BORE, mm("61.944"), mm("61.948"))
LOOSE = piston("P-LOOSE", BORE, mm("61.930"), mm("61.934"))
RING = ring("R", BORE, mm("0.25"), mm("0.30"))
CLEARANCE = window("clearance", mm("0.04"), mm("0.06"))
END_GAP = window("end_gap", mm("0.20"), mm("0.35"))


def kit(number: str, *contents: str, **more: Any) -> Kit:
    items = tuple(KitItem(number=n, count=contents.count(n)) for n in dict.fromkeys(contents))
    return Kit(number=number, contents=items, **{"price": 1_500, "stock": 1, **more})


def sets(*parts: Any, task: Job | None = None, **more: Any) -> tuple[PartSet, ...]:
    given = task or job(bore("1", BORE), windows=(CLEARANCE, END_GAP), **more)
    return sets_of(given, catalogue(*parts))


def names(found: tuple[PartSet, ...]) -> list[tuple[str, str]]:
    return [(item.kit, item.piston) for item in found]


def verdict(item: PartSet, rule: str) -> Any:
    return next(said for said in item.verdicts if said.rule == rule)


def test_best_first() -> None:
    """Those that hold by their least margin; then those that miss, by how much."""
    found = sets(LOOSE, TIGHT, GOOD, RING)
    assert names(found) == [("", "P-GOOD"), ("", "P-TIGHT"), ("", "P-LOOSE")]
    assert [item.holds for item in found] == [True, False, False]
    # 62 - 61.948 = 0.052 to 0.056; 0.038 to 0.040; 0.066 to 0.070
    assert [item.worst for item in found] == [mm("0.004"), -mm("0.002"), -mm("0.010")]


def test_a_verdict_for_each_rule_with_its_margin() -> None:
    (item,) = sets(GOOD, RING)
    margins = {said.rule: (said.holds, said.margin) for said in item.verdicts}
    assert margins == {
        "clean_up": (True, None),
        "clearance": (True, mm("0.004")),
        "end_gap": (True, mm("0.05")),
        # not asked for, but the ring has to go in: 1.50 - 1.46
        "side_clearance": (True, mm("0.04")),
        "form": (True, None),  # shown, though nothing is asked of it
        "compatibility": (True, None),
        "availability": (True, None),
    }
    assert item.worst == min(m for _, m in margins.values() if m is not None)
    assert verdict(item, "clearance").sentence == "holds with 0.004 mm to spare"


def test_a_miss_says_by_how_much() -> None:
    (item,) = sets(TIGHT, RING)
    said = verdict(item, "clearance")
    assert (said.holds, said.margin, said.sentence) == (False, -200, "misses by 0.002 mm")


@pytest.mark.parametrize(
    ("rule", "parts", "cylinder"),
    [
        ("clean_up", (GOOD, RING), {"scratch": mm("0.01")}),
        ("bore_limit", (GOOD, RING), {"bore_limit": BORE - 1}),
        ("end_gap", (GOOD, ring("R", BORE, mm("0.19"))), {}),
        ("end_gap", (GOOD, ring("R", BORE, mm("0.36"))), {}),
        ("ring_seat", (GOOD, ring("R", BORE + mm("0.02"), mm("0.3"), seat_over=mm("0.01"))), {}),
        (
            "side_clearance",
            (piston("P", BORE, mm("61.95"), grooves=(groove(1, 145_000),)), RING),
            {},
        ),
        (
            "compatibility",
            (
                piston("P", BORE, mm("61.95"), grooves=(groove(1, depth=mm("2")),)),
                ring("R", BORE, mm("0.3"), radial_depth=mm("2.5")),
            ),
            {},
        ),
        ("compatibility", (GOOD,), {}),
        ("availability", (piston("P", BORE, mm("61.95"), stock=0), RING), {}),
        ("availability", (piston("P", BORE, mm("61.95"), price=None), RING), {}),
        ("availability", (GOOD, ring("R", BORE, mm("0.3"), stock=0)), {}),
    ],
)
def test_each_rule_can_fail_alone(
    rule: str, parts: tuple[Any, ...], cylinder: dict[str, Any]
) -> None:
    task = job(bore("1", BORE, **cylinder), windows=(CLEARANCE, END_GAP))
    (item,) = sets(*parts, task=task)
    assert not item.holds
    assert [said.rule for said in item.verdicts if not said.holds] == [rule]
    assert verdict(item, rule).sentence != "holds"


def test_form_is_judged_as_it_is() -> None:
    task = job(bore("1", BORE, BORE - 300), windows=(window("taper", None, 200),))
    (item,) = sets(GOOD, RING, task=task)
    assert (verdict(item, "form").holds, verdict(item, "form").margin) == (False, -100)


def test_a_kit_is_a_set_beside_its_singles() -> None:
    found = sets(GOOD, RING, kit("K", "P-GOOD", "R"))
    assert sorted(names(found)) == [("", "P-GOOD"), ("K", "P-GOOD")]
    prices = {item.kit: item.price for item in found}
    assert prices == {"": 1_200, "K": 1_500}


def test_a_kit_without_a_ring_is_completed_by_singles() -> None:
    """The kit has a ring for groove 1 only; the other is bought by itself."""
    two = piston("P", BORE, mm("61.946"), grooves=(groove(1), groove(2)))
    second = ring("R2", BORE, mm("0.3"), grooves=(2,), price=350)
    found = {item.kit: item for item in sets(two, RING, second, kit("K", "P", "R"))}
    assert found["K"].rings == ("R", "R2")
    assert (found["K"].price, found["K"].holds) == (1_500 + 350, True)


def test_a_kit_keeps_its_own_ring_even_where_another_fits_better() -> None:
    wide = ring("R-WIDE", BORE, mm("0.40"))
    found = {item.kit: item for item in sets(GOOD, RING, wide, kit("K", "P-GOOD", "R-WIDE"))}
    assert (found[""].rings, found[""].holds) == (("R",), True)
    assert (found["K"].rings, found["K"].holds) == (("R-WIDE",), False)


def test_a_kit_that_cannot_be_had() -> None:
    found = {item.kit: item for item in sets(GOOD, RING, kit("K", "P-GOOD", "R", stock=0))}
    assert (found["K"].price, found["K"].holds) == (None, False)
    assert verdict(found["K"], "availability").sentence == "not all of it can be bought"


def test_a_kit_without_a_piston_is_no_set() -> None:
    assert names(sets(GOOD, RING, kit("K", "R"))) == [("", "P-GOOD")]


def test_pieces_in_hand() -> None:
    """A measured piece is a set of its own and costs nothing; no kit brings it."""
    held = InHand(number="P-TIGHT", size=mm("61.950"))
    found = sets(TIGHT, RING, kit("K", "P-TIGHT", "R"), in_hand=(held,))
    assert sorted(names(found)) == [
        ("", "P-TIGHT"),
        ("", "P-TIGHT (piece 1)"),
        ("K", "P-TIGHT"),
    ]
    piece = found[0]
    assert (piece.piston, piece.holds, piece.price) == ("P-TIGHT (piece 1)", True, 200)


def test_an_unmeasured_piece_in_hand_costs_nothing() -> None:
    (item,) = sets(GOOD, RING, in_hand=(InHand(number="P-GOOD"), InHand(number="R")))
    assert (item.price, item.holds) == (0, True)


def test_a_reserved_piece_serves_its_cylinder_only() -> None:
    held = InHand(number="P-TIGHT", size=mm("61.950"), cylinder="2")
    task = job(bore("1", BORE), bore("2", BORE), windows=(CLEARANCE,), in_hand=(held,))
    found = [(item.cylinder, item.piston) for item in sets(TIGHT, RING, task=task) if item.holds]
    assert found == [("2", "P-TIGHT (piece 1)")]


def test_a_measured_ring_serves_one_groove() -> None:
    two = piston("P", BORE, mm("61.946"), grooves=(groove(1), groove(2)))
    both = ring("R", BORE, mm("0.25"), grooves=(1, 2))
    held = InHand(number="R", gap=mm("0.3"), gap_bore=BORE)
    (item,) = sets(two, both, in_hand=(held,))
    assert item.rings == ("R (piece 1)", "R")
    assert item.price == 1_000 + 200


def test_the_stack_that_brings_squish_to_the_middle() -> None:
    flat = piston("P", BORE, mm("61.946"), compression_height={"low": 3_000_000, "high": 3_000_000})
    task = job(
        bore("1", BORE, squish=Squish(base_low=3_050_000, base_high=3_050_000)),
        windows=(window("squish", 90_000, 110_000),),
        gaskets=(GasketPlace(place="base", least=0, most=2),),
    )
    stack = gasket("G3", "base", 30_000), gasket("G2", "base", 25_000), gasket("G5", "base", 62_000)
    (item,) = sets(flat, RING, *stack, task=task)
    # 0.5 + 0.5 from two of 0.25: in the middle of 0.9 to 1.1
    assert item.gaskets == ("G2", "G2")
    assert verdict(item, "squish").margin == 10_000


def test_a_stack_of_any_number_of_gaskets_takes_no_time() -> None:
    """Stacks are told apart by thickness; one that is thick enough is made no thicker."""
    flat = piston("P", BORE, mm("61.946"), compression_height={"low": 3_000_000, "high": 3_000_000})
    thin = [gasket(f"G{size}", "base", size, stock=99) for size in range(1_000, 9_000, 500)]
    task = job(
        bore("1", BORE, squish=Squish(base_low=3_000_000, base_high=3_000_000)),
        windows=(window("squish", 90_000, 110_000),),
        gaskets=(GasketPlace(place="base", least=0, most=1_000),),
    )
    (item,) = sets(flat, RING, *thin, task=task)
    assert (item.holds, verdict(item, "squish").margin) == (True, 10_000)
    assert len(item.gaskets) == 12  # 1 mm of at most 0.085 each


def test_each_cylinder_has_its_own_sets() -> None:
    task = job(bore("2", BORE), bore("1", BORE + mm("0.03")), windows=(CLEARANCE,))
    found = sets(GOOD, TIGHT, RING, task=task)
    assert [item.cylinder for item in found] == ["2", "2", "1", "1"]
    assert [item.piston for item in found if item.holds] == ["P-GOOD"]


def test_what_machining_asks_for_is_left_aside() -> None:
    """A route that the job lists or pins is not for the counter: the bore is as it is."""
    plain = sets(GOOD, RING)
    for more in ({"route": "finish hone"}, {"routes": ("finish hone",)}):
        task = job(bore("1", BORE, **more), windows=(CLEARANCE, END_GAP))
        assert sets(GOOD, RING, hone(), task=task) == plain
    task = job(bore("1", BORE), windows=(CLEARANCE, END_GAP), routes=("finish hone",))
    assert sets(GOOD, RING, hone(), task=task) == plain


def test_what_cannot_be_had_gives_way() -> None:
    """To a ring and a gasket that keep to their windows as well, though less well or dearer."""
    best_ring = ring("R-BEST", BORE, mm("0.30"), price=None)
    filed = ring("R-FILED", BORE, mm("0.15"), file_most=mm("0.1"))
    free = gasket("G-NONE", "base", 30_000, price=None)
    stack = gasket("G-DEAR", "base", 30_000, price=900), free
    (item,) = sets(
        GOOD, best_ring, filed, *stack, gaskets=(GasketPlace(place="base", least=1, most=1),)
    )
    assert (item.rings, item.gaskets, item.price) == (("R-FILED",), ("G-DEAR",), 2_100)
    assert item.holds


def test_pieces_are_counted() -> None:
    """One ring on the shelf, and no more to be ordered, does not serve two grooves."""
    two = piston("P", BORE, mm("61.946"), grooves=(groove(1), groove(2)))
    for stock, held, holds in ((1, 0, False), (2, 0, True), (1, 1, True), (0, 2, True)):
        both = ring("R", BORE, mm("0.25"), grooves=(1, 2), stock=stock)
        in_hand = (InHand(number="R", count=held),) if held else ()
        (item,) = sets(two, both, in_hand=in_hand)
        assert item.holds == holds
        assert item.price == (1_000 + 200 * (2 - held) if holds else None)


def test_a_reserved_gasket_does_not_serve_a_shared_place() -> None:
    for shared, price in ((True, 1_300), (False, 1_200)):
        (item,) = sets(
            GOOD,
            RING,
            gasket("G", "base", 30_000),
            gaskets=(GasketPlace(place="base", shared=shared),),
            in_hand=(InHand(number="G", cylinder="1"),),
        )
        assert item.price == price


def test_no_piston_no_set() -> None:
    assert sets(RING) == ()


def pinned(item: PartSet, task: Job, parts: Catalogue) -> Job:
    """The job of one cylinder with the set's piston and rings pinned and the bore finished."""
    number, piece = re.fullmatch(r"(.*?)(?: \((.*)\))?", item.piston).groups()  # type: ignore[union-attr]
    update: dict[str, Any] = {"piston": number}
    held = list(task.in_hand)
    if piece and piece.startswith("piece "):
        entry = _piece(held, number, int(piece.removeprefix("piece ")))
        update |= {"piston_size": entry.size, "piston_mass": entry.mass, "piston_kept": entry.kept}
        held.remove(entry)
    elif not piece:
        held = [h for h in held if h.number != number or not (h.size or h.kept)]
    grooves = next(p for p in parts.pistons if p.number == number).grooves
    if not any(" (" in name for name in item.rings):
        update["rings"] = tuple(
            PinnedRing(groove=g.number, number=name)
            for g, name in zip(grooves, item.rings, strict=True)
        )
    return alone(task.model_copy(update={"in_hand": tuple(held)}), item.cylinder, **update)


def _piece(held: list[InHand], number: str, which: int) -> InHand:
    """The entry that is expanded into piece `which` of a part number."""
    for entry in held:
        if entry.number == number and (
            entry.size or entry.mass or entry.gap is not None or entry.kept
        ):
            which -= entry.count
            if which <= 0:
                return entry
    raise AssertionError(f"{number} has no such piece")


def alone(task: Job, name: str, **changes: Any) -> Job:
    """The job of one finished cylinder, free of what joins it to others, money and time."""
    cylinder = next(c for c in task.cylinders if c.name == name)
    return task.model_copy(
        update={
            "cylinders": (cylinder.model_copy(update={"routes": (), "route": None, **changes}),),
            "finishing": "already finished",
            "best": ("price",),
            "routes": (),
            "in_hand": tuple(h for h in task.in_hand if h.cylinder in (None, name)),
            "same_size": (),
            "mass_match": (),
            "terms": Terms(),
            "engine": task.engine.model_copy(update={"displacement_limit": None}),
        }
    )


def confirmed(task: Job, parts: Catalogue) -> tuple[int, int]:
    """Hold the counter's sets against the solver; returns how many fit and how many fail.

    A set that fits is a plan of its cylinder with its piston and rings pinned, for no more
    money. Where every set of singles fails in a cylinder, there is no plan for it without kits
    (the solver may take a ring out of a kit bought for it; the counter sells a kit with its
    piston).
    """
    found = sets_of(task, parts)
    fit = [item for item in found if item.holds]
    for item in fit:
        single = pinned(item, task, parts)
        answer = decide(single, parts)
        assert answer.plan is not None, (item, answer.no_fit)
        assert answer.plan.cylinders[0].removal == 0
        if single.cylinders[0].rings:
            assert item.price is not None
            assert answer.plan.parts_price <= item.price
    singles = parts.model_copy(update={"kits": ()})
    have = {item.cylinder for item in sets_of(task, singles) if item.holds}
    for name in {c.name for c in task.cylinders} - have:
        assert decide(alone(task, name), singles).plan is None, name
    return len(fit), len(found) - len(fit)


def test_the_solver_confirms_the_brushsaw() -> None:
    fit, fail = confirmed(*load(DEMOS / "brushsaw" / "job.toml"))
    assert fit
    assert fail


def test_the_solver_confirms_drawn_jobs() -> None:
    dice = Random(3)
    fit = fail = 0
    for _ in range(100):
        theme = dice.choice(list(THEMES.values()))
        task, parts = draw_case(theme, dice.randbytes(Dice.SIZE))
        here, there = confirmed(task, parts)
        fit, fail = fit + here, fail + there
    assert fit > 20
    assert fail > 20


def test_same_size_and_money_are_not_the_counters() -> None:
    """What joins cylinders is `pick`'s to decide: the sets are the same with and without."""
    task = job(bore("1", BORE), bore("2", BORE), windows=(CLEARANCE,))
    bound = task.model_copy(
        update={"same_size": (SameSize(cylinders=("1", "2")),), "terms": Terms(budget=0)}
    )
    assert sets_of(task, catalogue(GOOD, RING)) == sets_of(bound, catalogue(GOOD, RING))


def test_every_rule_that_is_judged_is_known() -> None:
    from fitsolver.records.base import RULES

    assert set(JUDGED) == set(RULES) - {"route_cut", "displacement", "same_size", "mass_match"}
