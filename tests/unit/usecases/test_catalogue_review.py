import re
from typing import Any

import pytest

from fitsolver.records.base import Range
from fitsolver.records.catalogue import (
    AS_IS,
    Catalogue,
    Gasket,
    Groove,
    Kit,
    KitItem,
    Piston,
    Ring,
    Route,
)
from fitsolver.records.review import CatalogueReview, Doubt
from fitsolver.usecases.catalogue_review import review

MM = 100_000
STANDARD = 62 * MM
GROOVES = (
    Groove(number=1, width=Range(low=202_000, high=203_500), depth=290_000),
    Groove(number=2, width=Range(low=203_000, high=204_500), depth=290_000),
)


def piston(oversize: int = 0, **fields: Any) -> Piston:
    bore = STANDARD + oversize
    plain = {
        "number": f"PP-{oversize // 1000:03d}",
        "oversize": oversize,
        "nominal_bore": bore,
        "skirt": Range(low=bore - 7_000, high=bore - 6_400),
        "grooves": GROOVES,
        "price": 5_000,
        "stock": 2,
        "lead_days": 6,
    }
    return Piston(**(plain | fields))


def ring(oversize: int = 0, **fields: Any) -> Ring:
    plain = {
        "number": f"PR-{oversize // 1000:03d}",
        "grooves": (1, 2),
        "gauge_diameter": STANDARD + oversize,
        "gap": Range(low=25_000, high=38_000),
        "width": Range(low=197_800, high=199_000),
        "radial_depth": 260_000,
        "file_most": 90_000,
        "seat_over": 30_000,
        "price": 900,
        "lead_days": 6,
    }
    return Ring(**(plain | fields))


def route(name: str, kind: str, low: int, high: int | None, **fields: Any) -> Route:
    plain = {"name": name, "kind": kind, "min_cut": low, "max_cut": high, "half_width": 400,
             "materials": ("iron",)}  # fmt: skip
    return Route(**(plain | fields))


RESTORE = route("liner", "restore", 5_000, 40_000, restored_bore=STANDARD - 10_000)
ROUTES = (
    AS_IS,
    route("finish hone", "finish hone", 1_000, 8_000),
    route("bore", "bore and hone", 8_000, None),
    RESTORE,
)
GASKET = Gasket(number="G", place="head", thickness=60_000, crush=10_000, price=640, stock=1,
                compressed=Range(low=48_000, high=52_000))  # fmt: skip


def catalogue(**fields: Any) -> Catalogue:
    sizes = (0, 25_000, 50_000)
    plain = {
        "name": "shelf",
        "family": "pump",
        "standard_bore": STANDARD,
        "pistons": tuple(piston(size) for size in sizes),
        "rings": tuple(ring(size) for size in sizes),
        "gaskets": (GASKET,),
        "routes": ROUTES,
    }
    return Catalogue(**(plain | fields))


def only(found: CatalogueReview) -> Doubt:
    assert len(found.doubtful) == 1, found.doubtful
    return found.doubtful[0]


def one(**fields: Any) -> Doubt:
    return only(review(catalogue(**fields)))


def swap(parts: tuple[Any, ...], **fields: Any) -> tuple[Any, ...]:
    """The same parts, the middle one changed."""
    return (parts[0], parts[1].model_copy(update=fields), *parts[2:])


PISTONS, RINGS = catalogue().pistons, catalogue().rings


def test_a_sound_catalogue_raises_no_doubt() -> None:
    found = review(catalogue(fingerprint="f"), "1.2")
    assert found.doubtful == ()
    assert (found.program_version, found.fingerprint, found.family) == ("1.2", "f", "pump")
    assert found.counts.model_dump() == {
        "pistons": 3, "rings": 3, "gaskets": 1, "kits": 0, "routes": 4,
    }  # fmt: skip
    assert [(step.oversize, step.step, step.pistons, step.rings) for step in found.sizes] == [
        (0, None, 1, 1), (25_000, 25_000, 1, 1), (50_000, 25_000, 1, 1),
    ]  # fmt: skip
    assert len(found.cautions) == 1


@pytest.mark.parametrize(
    ("sizes", "skipped"),
    [
        ((0, 25, 50, 100), {100: (75,)}),
        ((0, 25, 50, 75, 150), {150: (100, 125)}),
        ((0, 25, 50, 110), {}),  # no multiple of the step
        ((10, 15, 20, 30), {30: (25,)}),
        ((10, 35, 60, 110), {110: (85,)}),
        ((0, 10, 15, 20, 30), {}),  # two steps are as common: neither is regular
        ((0, 50), {}),
        ((0,), {}),
        ((), {}),
    ],
)
def test_skipped_sizes(sizes: tuple[int, ...], skipped: dict[int, tuple[int, ...]]) -> None:
    found = review(catalogue(pistons=tuple(piston(size * 1000) for size in sizes), rings=()))
    assert {
        step.oversize // 1000: tuple(size // 1000 for size in step.skipped)
        for step in found.sizes
        if step.skipped
    } == skipped
    missing = [entry for entry in found.doubtful if "oversize, where the steps" in entry.sentence]
    assert len(missing) == sum(map(len, skipped.values()))


def test_a_hole_between_two_grades() -> None:
    low = STANDARD - 7_000
    spans = {"A": (low, low + 400), "B": (low + 400, low + 800), "C": (low + 900, low + 1_300)}
    graded = tuple(
        piston(number=f"PP-{grade}", grade=grade, skirt=Range(low=least, high=most))
        for grade, (least, most) in spans.items()
    )
    found = one(pistons=graded, rings=RINGS[:1])
    assert (found.number, found.seriousness) == ("PP-C", "note")
    assert "no grade between 61.938 mm and 61.939 mm" in found.sentence


@pytest.mark.parametrize(
    ("low", "high", "says"),
    [
        (-100, 100, "some coated pistons are larger"),
        (-24_901, -24_000, "at most bore / 250 is expected"),
        (-24_900, -24_900, ""),  # exactly 1/250 of 62.25 mm
        (0, 0, ""),  # as large as the bore
    ],
)
def test_skirt_against_its_bore(low: int, high: int, says: str) -> None:
    bore = PISTONS[1].nominal_bore
    changed = (piston(25_000, skirt=Range(low=bore + low, high=bore + high)),)
    found = review(catalogue(pistons=changed, rings=RINGS[1:2])).doubtful
    assert [entry.field for entry in found] == (["skirt"] if says else [])
    assert all(says in entry.sentence for entry in found)


def test_a_bore_that_is_not_standard_and_oversize() -> None:
    changed = swap(PISTONS, nominal_bore=STANDARD + 26_000)
    found = review(catalogue(pistons=changed)).doubtful[0]
    assert (found.field, found.seriousness) == ("oversize", "serious")
    assert "62.26 mm" in found.sentence and "62.25 mm" in found.sentence


def test_a_number_that_names_another_size() -> None:
    found = one(pistons=swap(PISTONS, number="PP-050X"))
    assert (found.table, found.number, found.field) == ("pistons", "PP-050X", "oversize")
    assert "0.25 mm over standard; 0.5 mm is expected by the number" in found.sentence
    assert one(rings=swap(RINGS, number="PR-000Z")).table == "rings"
    free = tuple(part.model_copy(update={"number": f"N{i}-000"}) for i, part in enumerate(PISTONS))
    assert review(catalogue(pistons=free)).doubtful == ()  # numbers here are not formed so
    half = (PISTONS[0], PISTONS[1].model_copy(update={"number": "PP-000B"}))
    found = review(catalogue(pistons=half, rings=RINGS[:2])).doubtful
    assert found == ()  # one of two is no habit


@pytest.mark.parametrize(
    "change",
    [
        {"grooves": (2,)},
        {"radial_depth": 290_001},
        {"width": Range(low=200_000, high=203_001)},
        {"gauge_diameter": STANDARD + 90_000},
    ],
)
def test_a_groove_without_a_ring(change: dict[str, Any]) -> None:
    lonely = (ring(**change),)
    found = review(catalogue(pistons=PISTONS[:1], rings=lonely)).doubtful
    assert ("pistons", "PP-000", "groove1", "serious") in [
        (entry.table, entry.number, entry.field, entry.seriousness) for entry in found
    ]


def test_a_ring_one_size_over_serves_a_groove_when_it_may_be_filed() -> None:
    def unserved(**fields: Any) -> bool:
        found = review(catalogue(pistons=PISTONS[:1], rings=(ring(25_000, **fields),)))
        return any(entry.table == "pistons" for entry in found.doubtful)

    assert not unserved()
    assert not unserved(file_most=53_541)  # the gap is -0.53540 mm in the smaller bore
    assert unserved(file_most=53_540)
    assert unserved(file_most=0)
    assert not unserved(seat_over=25_000)
    assert unserved(seat_over=24_999)


def test_a_piston_without_grooves() -> None:
    assert "no grooves given" in one(pistons=swap(PISTONS, grooves=())).sentence


def test_a_ring_too_wide_for_every_groove() -> None:
    wide = ring(25_000, number="PR-W", width=Range(low=204_501, high=205_000))
    found = one(rings=(*RINGS, wide))
    assert (found.number, found.field, found.seriousness) == ("PR-W", "width", "serious")
    assert found.sentence.endswith("widest groove it is marked for is 2.045 mm")
    as_wide = wide.model_copy(update={"width": Range(low=204_500, high=205_000)})
    assert one(rings=(*RINGS, as_wide)).sentence == "serves no piston of the catalogue"


def test_a_ring_that_serves_no_piston() -> None:
    found = one(rings=(*RINGS, ring(number="PR-3", grooves=(3,))))
    assert found.sentence == "3; the pistons have 2"
    large = review(catalogue(rings=(*RINGS, ring(125_000)))).doubtful
    assert [(entry.field, entry.seriousness) for entry in large] == [
        ("", "doubtful"), ("gauge_diameter", "note"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("low", "high", "odd"),
    [(12_400, 30_000, False), (12_399, 30_000, True), (100_000, 124_000, False),
     (100_000, 124_001, True)],
)  # fmt: skip
def test_ring_gaps_outside_what_is_usual(low: int, high: int, odd: bool) -> None:
    rings = (ring(gap=Range(low=low, high=high)),)
    found = review(catalogue(pistons=PISTONS[:1], rings=rings)).doubtful
    assert any(entry.field == "gap" for entry in found) is odd
    assert (found != ()) is odd  # at the very edge it still serves


def test_alloys_without_an_expansion() -> None:
    found = one(pistons=swap(PISTONS, alloy="al_4032"), rings=swap(RINGS, alloy="pot metal"))
    assert (found.table, found.field) == ("rings", "alloy")
    found = one(pistons=swap(PISTONS, alloy="tin foil"))
    assert "'tin foil'" in found.sentence and "al_4032" in found.sentence


def test_pistons_set_apart_from_the_others() -> None:
    pins = tuple(part.model_copy(update={"pin_diameter": 16 * MM}) for part in PISTONS)
    assert one(pistons=swap(pins, pin_diameter=None)).sentence.startswith("blank")
    assert "18 mm; 16 mm is" in one(pistons=swap(pins, pin_diameter=18 * MM)).sentence
    other = swap(pins, pin_diameter=18 * MM, price=9_000)  # of another kind: no doubt, a note
    assert "pin 18.000 mm, most pistons: 16" in one(pistons=other).sentence
    heavy = tuple(part.model_copy(update={"mass": 196_000}) for part in PISTONS)
    assert one(pistons=swap(heavy, mass=None)).field == "mass"


def test_a_gasket_of_which_nothing_is_left() -> None:
    flat = GASKET.model_copy(update={"compressed": Range(low=0, high=500)})
    assert one(gaskets=(flat,)).seriousness == "serious"


def kit(*contents: tuple[str, int], **fields: Any) -> Kit:
    items = tuple(KitItem(number=number, count=count) for number, count in contents)
    return Kit(**({"number": "K", "contents": items, "price": 6_800, "stock": 1} | fields))


@pytest.mark.parametrize(
    ("offered", "says"),
    [
        (kit(("PP-000", 1), ("PR-000", 2)), ""),
        (kit(("PP-000", 1), ("PR-000", 2), price=6_801), "costs 68.01, .* singly 68.00"),
        (kit(("PP-000", 1), ("PR-999", 2)), "holds PR-999"),
        (kit(("PP-000", 1), ("PR-050", 2)), "ring PR-050 does not serve"),
        (kit(("PP-000", 1), price=None), "no price"),
        (kit(("PP-000", 1), price=4_000, stock=0), "none on the shelf"),
        (kit(("PP-000", 1), price=4_000, stock=0, lead_days=3), ""),
    ],
)
def test_kits(offered: Kit, says: str) -> None:
    found = review(catalogue(kits=(offered,))).doubtful
    if not says:
        assert found == ()
        return
    assert [entry.table for entry in found] == ["kits"]
    assert re.search(says, found[0].sentence)


def test_a_ring_of_a_kit_needs_only_one_groove() -> None:
    first = ring(number="PR-000T", grooves=(1,))
    offered = kit(("PP-000", 1), ("PR-000T", 1), price=4_000)
    assert review(catalogue(rings=(*RINGS, first), kits=(offered,))).doubtful == ()


@pytest.mark.parametrize(
    ("low", "high", "reached"),
    [(5_000, 10_000, True), (10_000, 10_000, True), (10_001, 20_000, False), (0, 9_999, False)],
)
def test_a_restored_bore_must_reach_the_bore_of_a_piston(
    low: int, high: int, reached: bool
) -> None:
    """The liner is 0.1 mm under standard; only the standard piston is there."""
    liner = RESTORE.model_copy(update={"min_cut": low, "max_cut": high})
    found = review(catalogue(pistons=PISTONS[:1], rings=RINGS[:1], routes=(AS_IS, liner)))
    assert (found.doubtful == ()) is reached


def test_parts_that_cannot_be_bought() -> None:
    assert "is in no kit" in one(pistons=swap(PISTONS, price=None)).sentence
    in_kit = kit(("PP-025", 1), price=4_000)
    assert review(catalogue(pistons=swap(PISTONS, price=None), kits=(in_kit,))).doubtful == ()
    found = one(pistons=swap(PISTONS, stock=0, lead_days=None))
    assert (found.seriousness, found.field) == ("note", "lead_days")
    assert found.sentence.endswith("it cannot be had")
    gone = swap(PISTONS, stock=0, lead_days=None)
    assert one(pistons=gone, kits=(in_kit,)).sentence.endswith("it cannot be had singly")
    assert one(pistons=swap(PISTONS, price=0)).sentence == "costs nothing"


def test_cautions_for_the_catalogue_as_a_whole() -> None:
    def cautions(**fields: Any) -> str:
        return " ".join(review(catalogue(**fields)).cautions)

    assert "no pistons" in cautions(pistons=())
    assert "no rings" in cautions(rings=())
    gone = {"stock": 0, "lead_days": None}
    pistons = tuple(part.model_copy(update=gone) for part in PISTONS)
    rings = tuple(part.model_copy(update=gone) for part in RINGS)
    assert "No piston" in cautions(pistons=pistons)
    nothing = {"pistons": pistons, "rings": rings, "gaskets": ()}
    assert "Nothing in the catalogue can be had" in cautions(**nothing)
    assert "can be had" not in cautions(**nothing, kits=(kit(("PP-000", 1)),))


def test_a_hole_between_routes() -> None:
    far = (ROUTES[1], route("bore", "bore and hone", 10_000, None), RESTORE)
    found = one(routes=far)
    assert (found.number, found.field) == ("bore", "min_cut")
    assert found.sentence == "no route cuts between 0.080 mm and 0.100 mm (iron)"
    assert one(routes=(ROUTES[1], route("bore", "bore and hone", 8_001, None), RESTORE))
    bridged = (*far, route("rough", "rough and finish hone", 2_000, 30_000))
    assert review(catalogue(routes=bridged)).doubtful == ()


def test_holes_are_per_material() -> None:
    steel = route("rough", "rough and finish hone", 2_000, 30_000, materials=("steel",))
    far = (ROUTES[1], steel, route("bore", "bore and hone", 20_000, None, materials=()), RESTORE)
    found = one(routes=far)
    assert found.sentence == "no route cuts between 0.080 mm and 0.200 mm (iron)"


@pytest.mark.parametrize(
    ("changed", "field", "seriousness"),
    [
        (route("x", "finish hone", 3_000, 2_000), "max_cut", "serious"),
        (route("x", "finish hone", 1_000, 8_000, half_width=0), "half_width", "doubtful"),
        (AS_IS.model_copy(update={"half_width": 400}), "kind", "doubtful"),
        (RESTORE.model_copy(update={"restored_bore": None}), "restored_bore", "serious"),
        (RESTORE.model_copy(update={"max_cut": 9_999}), "restored_bore", "doubtful"),
    ],
)  # fmt: skip
def test_doubtful_routes(changed: Route, field: str, seriousness: str) -> None:
    found = one(routes=(*ROUTES, changed))
    assert (found.table, found.field, found.seriousness) == ("routes", field, seriousness)


def test_no_way_to_restore() -> None:
    found = one(routes=ROUTES[:3])
    assert (found.seriousness, found.number) == ("note", "")
    assert "cannot be saved" in found.sentence


def test_the_most_serious_come_first() -> None:
    found = review(
        catalogue(
            pistons=swap(PISTONS, grooves=()),
            rings=(*RINGS, ring(number="PR-W", width=Range(low=300_000, high=300_000))),
            routes=ROUTES[:3],
        )
    )
    assert [entry.seriousness for entry in found.doubtful] == ["serious", "doubtful", "note"]


def test_figures_are_in_the_unit_of_the_catalogue() -> None:
    found = one(unit="in", pistons=swap(PISTONS, skirt=Range(low=STANDARD, high=STANDARD + 25_400)))
    assert "clearance up to 0.0098 in" in found.sentence
    assert "in a bore of 2.4508 in" in found.sentence
