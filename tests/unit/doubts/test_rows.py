"""Rows with one figure typed wrong are named, rows of another kind are not.

What a sister row says is read off the demo tables; the bounds are common practice, no source
(docs/doubts.md).
"""

from __future__ import annotations

import pytest

from fitsolver.doubts.rows import findings, row_doubts
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.records.base import Range
from fitsolver.records.catalogue import StatedWindow
from fitsolver.records.windows import Window
from tests.unit.usecases.test_catalogue_review import catalogue, piston, ring, swap

from ..cli.run import DEMOS
from .demos import draw, found, read, typed

PUMP_ROWS = [
    ("pistons", "PP-050B", "skirt_high", "62.642", "skirt"),
    (
        "pistons",
        "PP-025A",
        "skirt_low",
        "62.150",
        "0.036 mm apart; at most 0.01 mm in its sister rows",
    ),
    ("pistons", "PP-075", "oversize", "0.57", "number"),
    (
        "pistons",
        "PP-100",
        "pin_diameter",
        "61.000",
        "7.875 mm to 31.5 mm is expected with a bore of 63 mm",
    ),
    ("pistons", "PP-100", "pin_diameter", "17.000", "16 mm is expected, as in 7 sister rows"),
    ("pistons", "PP-000A", "compression_height", "43.00", "34 mm is expected"),
    ("pistons", "PP-000A", "compression_height_tolerance", "0.3", "at most 0.206 mm"),
    ("pistons", "PP-050A", "groove1_high", "2.245", "at most width / 20"),
    ("pistons", "PP-050A", "groove2_low", "2.002", "2.02 mm is expected"),
    ("pistons", "PP-050A", "groove1_depth", "3.90", "2.9 mm is expected"),
    ("pistons", "PP-075", "mass_g", "204.0", "is expected, as in its sister rows"),
    ("pistons", "PP-075", "gauge_height", "41.00", "14 mm is expected"),
    ("pistons", "PP-050B", "price", "580.00", "as in its sister rows"),
    ("rings", "PR1-050", "gauge_diameter", "62.70", "no other ring is 0.2 mm over"),
    (
        "rings",
        "PR1-050",
        "gauge_diameter",
        "62.75",
        "where the ring for a bore of 62.5 mm is missing",
    ),
    ("rings", "PR1-000", "gauge_diameter", "61.75", "bores of 62 mm to 63 mm"),
    ("rings", "PR2-050", "gap_high", "0.54", "0.45 mm to 0.45 mm is expected"),
    ("rings", "PR1-050", "gap_low", "0.05", "0.25 mm to 0.25 mm is expected"),
    ("rings", "PR1-050", "width_low", "1.789", "tolerance of at most width / 20"),
    ("rings", "PR1-050", "radial_depth", "2.06", "2.6 mm is expected"),
    ("rings", "PR1-050", "file_most", "0.09", "0.9 mm is expected"),
    ("rings", "PR1-050", "seat_over", "3.0", "at most 0.625 mm is expected with"),
    ("rings", "PR1-050", "grooves", "2", "1 is expected, as with 4 rings like it"),
    ("rings", "PR1-050", "grooves", "3", "the pistons have 2"),
    ("gaskets", "PH-060", "crush", "0.02", "unlike its sister rows"),
    ("gaskets", "PH-080", "tolerance", "0.30", "at most 12 %"),
    ("gaskets", "PH-080", "thickness", "1.80", "0.8 mm is expected by the number"),
    ("kits", "PK-075", "price", "7.60", "singly"),
    ("routes", "finish hone", "half_width", "0.04", "is expected"),
    ("routes", "bore and hone", "materials", "irn", "'irn'; 'iron' is expected"),
    ("routes", "rough and finish hone", "max_cut", "0.03", "'rough and finish hone'"),
    ("routes", "new liner", "restored_bore", "61.70", "at most bore / 250"),
    ("routes", "bore and hone", "min_cut", "0.010", "0.02 mm to 0.25 mm"),
    ("pistons", "PP-000A", "stock", "20000", "at most 10000 are expected"),
    ("pistons", "PP-000A", "lead_days", "800", "at most 730 are expected"),
]


@pytest.mark.parametrize(("table", "row", "column", "text", "says"), PUMP_ROWS)
def test_one_figure_out_of_line(table: str, row: str, column: str, text: str, says: str) -> None:
    doubts = found("pump", (table, row, column, text))
    assert [doubt for doubt in doubts if table == "kits" or "PK" not in doubt] == [f"row {row}"]
    assert says in doubts[f"row {row}"]


def test_a_liner_that_comes_finished_is_not_doubted() -> None:
    """Its bore is its maker's: from the standard bore on, and nothing is cut."""
    liner = [
        ("restored_bore", "62.00"),
        ("min_cut", "0"),
        ("max_cut", "0.01"),
        ("half_width", "0.01"),
    ]
    assert found("pump", *(("routes", "new liner", *figure) for figure in liner)) == {}
    over = [("restored_bore", "62.01"), *liner[1:]]
    doubts = found("pump", *(("routes", "new liner", *figure) for figure in over))
    assert list(doubts) == ["row new liner"]


def test_bounds_are_in_figures_that_a_shop_reads() -> None:
    doubts = found("launch", ("routes", "bore and hone", "min_cut", "0.02"))
    assert "0.0008 in to 0.0109 in is expected" in doubts["row bore and hone"]


@pytest.mark.parametrize("demo", ["pump", "launch", "brushsaw", "workshop/catalogue"])
def test_no_false_alarm_on_the_demos(demo: str) -> None:
    """An 18 mm pin of another mass and price, graded and ungraded skirts, a wider ring."""
    assert row_doubts(read_catalogue(DEMOS / demo)) == ()


def test_clean_catalogues_are_not_doubted() -> None:
    """At most one in a hundred may be; of these two hundred none is."""
    assert [seed for seed in range(200) if row_doubts(read(draw(seed)[0]))] == []


def test_several_findings_are_one_doubt() -> None:
    doubts = found(
        "pump", ("pistons", "PP-075", "price", "6.10"), ("pistons", "PP-075", "skirt_high", "63.69")
    )
    assert list(doubts) == ["row PP-075", "row PK-075"]
    assert "skirt: " in doubts["row PP-075"] and "; and price: " in doubts["row PP-075"]


def test_skirts_over_for_bores_in_inches() -> None:
    doubts = found("launch", ("pistons", "LP-020", "for_bore", "3.5279"))
    assert list(doubts) == ["row LP-020"]
    assert "0.0049 in larger than its bore of 3.52 in" in doubts["row LP-020"]
    assert (
        "0.0345 in in a bore"
        in found("launch", ("pistons", "LP-020", "for_bore", "3.4890"))["row LP-020"]
    )


def test_grades_in_order() -> None:
    """Four grades of one oversize, D where A would be; its own skirt is as wide as theirs."""
    doubts = found(
        "brushsaw",
        ("pistons", "BP-D", "skirt_low", "43.942"),
        ("pistons", "BP-D", "skirt_high", "43.946"),
    )
    assert doubts == {
        "row BP-D": "skirt: 43.942 mm to 43.946 mm breaks the order of the grades of its oversize"
    }


def test_a_ring_deeper_than_its_groove() -> None:
    assert (
        "less than 2.1 mm"
        in found("brushsaw", ("rings", "BR-A", "radial_depth", "2.85"))["row BR-A"]
    )


def test_kits_of_two_sizes() -> None:
    two = found("pump", ("kits", "PK-050A", "contents", "PP-050A x1; PP-075 x1"))
    assert "pistons for bores of 62.5 mm and 62.75 mm" in two["row PK-050A"]
    small = found("pump", ("kits", "PK-050A", "contents", "PP-050A x1; PR1-025 x1; PR2-050 x1"))
    assert "a ring for a bore of 62.25 mm with a piston for 62.5 mm" in small["row PK-050A"]
    over = found("pump", ("kits", "PK-050A", "contents", "PP-050A x1; PR1-075 x1; PR2-075 x1"))
    assert "a ring 0.25 mm over the bore of its piston" in over["row PK-050A"]
    many = "PP-000A x1; PR1-000 x1; PR2-000 x1; PH-060 x1; PB-025 x10"
    count = found("pump", ("kits", "PK-000A", "contents", many))
    assert "is expected, as in 6 sister rows" in count["row PK-000A"]
    rings = found("launch", ("kits", "LK-C010", "contents",
                             "LP-010 x1; LR1-010 x2; LR2-010 x1; LR3-010 x1"))  # fmt: skip
    assert "is expected, as in 3 sister rows" in rings["row LK-C010"]
    rings = found("launch", ("kits", "LK-C010", "contents", "LP-010 x1; LR1-010 x3"))
    assert "1 x piston and 3 x ring for groove 1; 1 rings" in rings["row LK-C010"]


def test_a_kit_is_doubted_beside_a_part_of_it() -> None:
    doubts = found("pump", ("rings", "PR1-050", "gauge_diameter", "62.70"))
    assert list(doubts) == ["row PR1-050", "row PK-050A", "row PK-050B"]
    assert "rings for bores of 62.5 mm and 62.7 mm" in doubts["row PK-050A"]


def test_with_few_sisters() -> None:
    """Of two rows neither can be called the odd one; three can tell."""
    pins = [piston(size, pin_diameter=1_600_000) for size in (0, 25_000, 50_000)]
    pins[1] = piston(25_000, pin_diameter=1_700_000)
    two = catalogue(pistons=tuple(pins[:2]))
    assert not any(found.field == "pin_diameter" for found in findings(two))
    three = findings(catalogue(pistons=tuple(pins)))
    assert [(each.number, each.field) for each in three] == [("PP-025", "pin_diameter")]


def test_one_row_alone_is_held_against_its_own_bore() -> None:
    wide = piston(0, skirt=Range(low=6_192_900, high=6_200_000))
    alone = catalogue(pistons=(wide,), rings=(ring(),))
    assert [(each.number, each.field) for each in findings(alone)] == [("PP-000", "skirt")]


def test_two_kinds_are_held_apart() -> None:
    """Forged pistons sit 0.04 mm looser and cost half as much again; both kinds are in order."""
    cast = [piston(size) for size in (0, 25_000, 50_000)]
    forged = [
        piston(
            size,
            number=f"FP-{size // 1000:03d}",
            alloy="al_4032",
            skirt=Range(low=6_200_000 + size - 11_000, high=6_200_000 + size - 10_400),
            price=8_000,
        )
        for size in (0, 25_000, 50_000)
    ]
    assert findings(catalogue(pistons=(*cast, *forged))) == ()
    moved = Range(low=6_225_000 - 31_000, high=6_225_000 - 30_400)
    wrong = swap(tuple(forged), skirt=moved)
    assert [each.number for each in findings(catalogue(pistons=(*cast, *wrong)))] == ["FP-025"]


def test_a_size_that_is_there_twice() -> None:
    """Numbers that name no size: the order of the table tells which of the two it is."""
    sizes = (0, 25_000, 75_000, 75_000, 100_000)
    rings = tuple(ring(size, number=f"R{at}") for at, size in enumerate(sizes))
    pistons = tuple(piston(size) for size in (0, 25_000, 50_000, 75_000, 100_000))
    doubts = findings(catalogue(pistons=pistons, rings=rings))
    assert [(each.number, each.field) for each in doubts] == [("R2", "gauge_diameter")]
    assert "where the ring for a bore of 62.5 mm is missing" in doubts[0].sentence


def test_what_was_found_is_kept_for_the_catalogue() -> None:
    shelf = typed("pump", ("rings", "PR1-050", "gauge_diameter", "62.70"))
    assert row_doubts(shelf) is row_doubts(shelf)
    assert row_doubts(shelf.model_copy(update={"rings": ()})) == ()


def test_where_a_doubt_stands() -> None:
    doubt = row_doubts(typed("pump", ("rings", "PR1-050", "gauge_diameter", "62.70")))[0]
    assert (doubt.file, doubt.row) == ("catalogue 'Portable pump, parts shelf'", "rings, PR1-050")
    assert doubt.field == "gauge_diameter"


def test_eight_thousand_pistons_take_no_time() -> None:
    """The bound leaves room for a busy machine; about 0.3 s on an idle one."""
    from time import process_time

    from ...bench.large import catalogue as large

    shelf = large(8_000, 4_000, 40)
    started = process_time()
    row_doubts(shelf)
    assert process_time() - started < 2


def test_a_clearance_that_the_maker_states_sets_a_piston_apart() -> None:
    """A forged piston in a table of cast ones: its skirt is as its own maker's window asks."""
    shelf = read_catalogue(DEMOS / "pump")
    cast = next(part for part in shelf.pistons if part.number == "PP-050A")
    skirt = Range(low=cast.skirt.low - 4_000, high=cast.skirt.high - 4_000)
    forged = cast.model_copy(update={"number": "PF-050", "skirt": skirt})
    doubted = shelf.model_copy(update={"pistons": (*shelf.pistons, forged)})
    assert any(d.id == "row PF-050" for d in row_doubts(doubted))
    own = StatedWindow(
        window=Window(fit="clearance", low=10_000, high=14_000, part="PF-050", source="invented")
    )
    named = forged.model_copy(update={"stated": ("PF-050",)})
    stated = shelf.model_copy(update={"pistons": (*shelf.pistons, named), "windows": (own,)})
    assert not row_doubts(stated)
