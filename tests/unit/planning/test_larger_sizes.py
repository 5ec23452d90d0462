"""What is left of a cylinder, worked by hand; the counts also stand against a search elsewhere."""

from __future__ import annotations

from datetime import date
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

from fitsolver.choices.rebuild_steps import MOST_COUNTED, Step, rebuilds
from fitsolver.picking.ready import made_ready
from fitsolver.planning.cautions import ladder_cautions
from fitsolver.planning.larger_sizes import ladders
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue, Piston, Route
from fitsolver.records.job import Engine, InHand, Job
from fitsolver.records.ladder import CylinderLadder, LadderAnswer
from fitsolver.records.wear import EarlierRecord
from fitsolver.records.windows import Window
from fitsolver.reporting.ladder_view import effect_of_today
from fitsolver.usecases import files as service
from fitsolver.usecases.ladder import sizes_left
from fitsolver.verbs.report import report as report_of
from tests.unit.rules import small

DEMO = Path(__file__).parents[3] / "catalogs_demo"
MM = 100_000
CLEARANCE = Window(fit="clearance", low=4_900, high=7_500)


def piston(number: str, oversize: int, **changes: Any) -> Piston:
    """The small job's piston in another size, its skirt 0.044 to 0.045 below the nominal bore."""
    nominal = 62 * MM + oversize
    skirt = Range(low=nominal - 4_500, high=nominal - 4_400)
    facts = {"number": number, "oversize": oversize, "nominal_bore": nominal, "skirt": skirt}
    return small.part(small.PISTON, **{**facts, "grooves": (), **changes})


#: The hone of the small job takes 0.005 to 0.050 and holds 0.002 either way; the other any cut.
BORING = Route(name="bore", kind="bore and hone", min_cut=10_000, half_width=400)
SIZES = (piston("P0", 0), piston("P1", 25_000), piston("P2", 50_000))


def job(**changes: Any) -> Job:
    return small.job(CLEARANCE, **{"routes": (), "wear_per_rebuild": 1_000, **changes})


def catalogue(*pistons: Piston) -> Catalogue:
    return small.catalogue(pistons=pistons or SIZES, routes=(small.HONE, BORING))


def ladder(task: Job, parts: Catalogue | None = None) -> CylinderLadder:
    parts = parts or catalogue()
    (found,) = ladders(task, parts, service.decide(task, parts).plan)
    return found


def test_sizes_with_what_they_take() -> None:
    found = ladder(job())
    # P0: 62.007 by clean-up, and 62 - 0.044 + 0.049 + 0.002 = 62.007 by its clearance.
    # P1, P2: nominal - 0.044 + 0.049 + 0.004 of the boring.
    finishes = [(r.piston, r.route, r.finish) for r in found.rungs]
    assert finishes == [
        ("P0", "hone", 6_200_700),
        ("P1", "bore", 6_225_900),
        ("P2", "bore", 6_250_900),
    ]
    assert [r.removal_now for r in found.rungs] == [700, 25_900, 50_900]
    # The plan leaves 62.005 to 62.009.
    assert [r.removal_after for r in found.rungs] == [None, 25_400, 50_400]
    assert [r.chosen for r in found.rungs] == [True, False, False]


def test_rebuilds_step_by_step() -> None:
    """From 62.009: each light hone needs 0.010 of wear, 0.005 of cut and 0.004 of spread."""
    found = ladder(job())
    # 62.009 + 0.017 = 62.026 is a finish of P0's, whose bore ends at 61.955 + 0.075 = 62.030; the
    # next would be 62.045. Bored to P1 the bore ends at 62.263; honed again it would finish at
    # 62.280, and P1's ends at 62.278. P2 is the last.
    assert found.light_hones == 1
    assert found.rebuilds_left == 3
    assert [rung.rebuilds_left for rung in found.rungs] == [3, 1, 0]
    assert effect_of_today(found) == "any other size costs 2 rebuilds or more"


def test_a_bore_limit_ends_the_ladder() -> None:
    found = ladder(job(engine=Engine(bore_limit=6_226_299, pin_diameter=1_600_000)))
    assert (found.bore_limit, found.rebuilds_left) == (6_226_299, 1)
    assert [rung.barred_by for rung in found.rungs] == [None, "bore_limit", "bore_limit"]
    found = ladder(job(engine=Engine(bore_limit=6_226_300, pin_diameter=1_600_000)))
    assert (found.bore_limit, found.rebuilds_left) == (6_226_300, 2)
    assert [rung.barred_by for rung in found.rungs] == [None, None, "bore_limit"]


def test_without_an_end_rebuilds_are_not_counted() -> None:
    """No bore limit and no highest clearance: no bore is too large, and no count has an end."""
    open_above = Window(fit="clearance", low=4_900, high=None)
    task = small.job(open_above, routes=(), wear_per_rebuild=1_000)
    found = ladder(task)
    assert (found.no_end, found.rebuilds_left, found.light_hones) == (True, None, None)
    assert {rung.rebuilds_left for rung in found.rungs} == {None}
    assert effect_of_today(found) is None
    said = " ".join(ladder_cautions([found]))
    assert "no end is stated" in said and "bore_limit" in said and "highest clearance" in said
    text = shown(sizes_left(task, catalogue()))
    assert "rebuilds left     not counted: no end is stated" in text


def test_either_end_is_one() -> None:
    open_above = Window(fit="clearance", low=4_900, high=None)
    limited = small.job(
        open_above,
        routes=(),
        wear_per_rebuild=1_000,
        engine=Engine(bore_limit=6_226_300, pin_diameter=1_600_000),
    )
    for task in (limited, job()):
        found = ladder(task)
        assert not found.no_end and found.rebuilds_left is not None
        assert "no end" not in " ".join(ladder_cautions([found]))


def test_an_end_that_is_far_away_is_counted_to_a_thousand() -> None:
    """0.01 um a rebuild and 60 mm to go would be six million of them."""
    steps = (Step(Route(name="hone", kind="finish hone"), ((6_200_000, 12_200_000),)),)
    assert rebuilds(steps, 6_200_000, 6_200_000, wear=1) == MOST_COUNTED == 1_000


def test_pins_and_parts_in_hand_are_of_today() -> None:
    pinned = small.cylinder(piston="P1", piston_size=6_220_550, route="bore")
    found = ladder(job(cylinders=(pinned,), in_hand=(InHand(number="P2", size=6_245_600),)))
    assert [(rung.piston, rung.chosen) for rung in found.rungs] == [
        ("P0", False),
        ("P1", True),
        ("P2", False),
    ]
    assert found.rebuilds_left == 1
    assert effect_of_today(found) == "another size would leave 3 rebuilds, not 1"


def test_a_piston_refused_whatever_the_bore_is_none() -> None:
    other_pin = piston("P2", 50_000, pin_diameter=1_800_000)
    task = job(engine=Engine(pin_diameter=1_600_000))
    found = ladder(task, catalogue(*SIZES[:2], other_pin))
    assert found.rungs[2].barred_by == "compatibility"
    assert found.rebuilds_left == 2


def test_a_larger_finish_may_reach_further() -> None:
    """Always the smallest finish (100, 102, 104) would end where 114 is out of the cut's reach."""
    route = Route(name="hone", kind="finish hone", max_cut=9)
    steps = (Step(route, ((100, 105), (114, 116))),)
    assert rebuilds(steps, 98, 98, wear=2) == 5  # 101, 103, 105, 114, 116
    assert rebuilds(steps, 98, 98, wear=1) == 9  # 100 to 105, 114 to 116
    assert rebuilds(steps, 103, 103, wear=2) == 3  # 105, 114, 116
    assert rebuilds(steps, 104, 104, wear=2) == 0  # 106 is no finish, 114 cuts 10
    assert rebuilds(steps, 120, 120, wear=1) == 0


def test_without_wear_or_plan_rebuilds_are_not_counted() -> None:
    found = ladder(job(wear_per_rebuild=None))
    assert (found.rebuilds_left, found.light_hones, found.wear_per_rebuild) == (None, None, None)
    assert {rung.rebuilds_left for rung in found.rungs} == {None}
    assert effect_of_today(found) is None
    assert "wear_per_rebuild" in " ".join(ladder_cautions([found]))
    found = ladder(job(cylinders=(small.cylinder(piston="P0", scratch=30_000),)))
    assert (found.bore_low, found.rebuilds_left) == (None, None)
    assert [rung.removal_after for rung in found.rungs] == [None] * 3
    assert "wear_per_rebuild" not in " ".join(ladder_cautions([found]))


def test_a_cylinder_wears_as_it_says_itself() -> None:
    own = small.cylinder(wear_per_rebuild=20_000)
    assert ladder(job(cylinders=(own,))).light_hones == 0


def record(year: int, left: int, found: int) -> EarlierRecord:
    return EarlierRecord(date=date(year, 3, 1), left=left, found=found)


ONE, TWO = record(2010, 6_198_000, 6_199_000), record(2015, 6_199_000, 6_200_000)


def of_records(*records: EarlierRecord, **changes: Any) -> CylinderLadder:
    task = job(cylinders=(small.cylinder(earlier=records),), **{"wear_per_rebuild": None} | changes)
    parts = catalogue()
    answer = service.decide(task, parts)
    return ladders(made_ready(task, parts).job, parts, answer.plan)[0]


@pytest.mark.parametrize("records", [(ONE,), (ONE, TWO)])
def test_of_earlier_records_the_most_of_the_next_counts(records: tuple[EarlierRecord, ...]) -> None:
    found = of_records(*records)
    told = found.earlier_wear
    assert told is not None
    assert (told.count, told.mean, found.wear_source) == (len(records), 1_000, "earlier records")
    assert found.wear_per_rebuild == told.most > told.mean
    assert found.rungs == ladder(job(wear_per_rebuild=told.most)).rungs
    assert found.light_hones == ladder(job(wear_per_rebuild=told.most)).light_hones


def test_what_too_few_records_do_not_tell_is_a_caution() -> None:
    said = [ladder_cautions([of_records(*records)]) for records in ((ONE,), (ONE, TWO))]
    assert "Cylinder 1: The wear is that of one earlier record: how far it differs" in said[0][1]
    assert "The wear is that of 2 earlier records" in said[1][1]
    three = of_records(ONE, TWO, record(2020, 6_200_000, 6_201_100))
    assert len(ladder_cautions([three])) == 1
    rising = of_records(ONE, record(2015, 6_199_000, 6_201_000), record(2020, 6_201_000, 6_204_010))
    assert "Wear grows from one rebuild to the next" in ladder_cautions([rising])[1]


def test_what_the_job_states_outranks_earlier_records() -> None:
    found = of_records(ONE, wear_per_rebuild=1_700)
    assert (found.wear_per_rebuild, found.wear_source) == (1_700, "job")
    assert found.earlier_wear is not None and found.earlier_wear.mean == 1_000
    assert len(ladder_cautions([found])) == 1


def test_earlier_records_serve_rebuilds_left_among_what_is_best() -> None:
    best = ("rebuilds_left", "largest_removal")
    parts = catalogue()
    carrying = job(cylinders=(small.cylinder(earlier=(ONE, TWO)),), wear_per_rebuild=None)
    most = made_ready(carrying).job
    stated = job(wear_per_rebuild=most.wear_for(most.cylinders[0]), best=best)
    found = service.decide(carrying.model_copy(update={"best": best}), parts).plan
    expected = service.decide(stated, parts).plan
    assert found is not None and found == expected
    assert found.rebuilds_left is not None


def shown(answer: LadderAnswer) -> str:
    out = StringIO()
    Console(file=out, width=80).print(report_of(answer))
    return out.getvalue()


def test_report_of_the_demo() -> None:
    text = shown(service.ladder(DEMO / "pump" / "ladder.toml"))
    assert "rebuilds left     5 after today's plan, at most" in text
    assert "light hones       1 inside the windows of today's size" in text
    assert "+0.250 *" in text


@pytest.mark.parametrize("name", ["brushsaw/job.toml", "launch/job.toml", "pump/worn_out.toml"])
def test_reports_fit_eighty_columns(name: str) -> None:
    answer = service.ladder(DEMO / name)
    assert all(len(line) <= 80 for line in shown(answer).splitlines())
    assert ("not today" in shown(answer)) == (answer.status == "nothing fits")
