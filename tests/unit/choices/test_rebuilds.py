"""Rebuilds left as a level of what is best: by hand, and the ways back against every chain."""

from __future__ import annotations

from itertools import takewhile
from pathlib import Path
from random import Random
from typing import Any

import pytest

from fitsolver.allotment.allot import allot
from fitsolver.base.errors import InputError
from fitsolver.checking.check import violations
from fitsolver.choices.rebuild_steps import Ahead, Step, rebuilds
from fitsolver.choices.rebuilds import ahead, counted
from fitsolver.picking.decide import decide
from fitsolver.reading.job_file import read_job
from fitsolver.reading.job_text import job_text
from fitsolver.records.allotment import Shop, ShopJob
from fitsolver.records.base import LEVEL_NAMES, LEVELS, Range
from fitsolver.records.catalogue import Catalogue, Piston, Route
from fitsolver.records.figures import Figures
from fitsolver.records.job import Engine, Job
from fitsolver.records.plan import ObjectiveValue, Plan
from fitsolver.records.windows import Window
from fitsolver.reporting.plan_view import _level_row
from fitsolver.screening.pattern import pattern
from fitsolver.solving.rebuilds import ways
from tests.unit.rules import small

MM = 100_000
CLEARANCE = Window(fit="clearance", low=4_900, high=7_500)
#: From L = 62.017 on it reaches the first finish of P1, 62.257.
HONE = small.part(small.HONE, max_cut=24_000)


def piston(number: str, oversize: int) -> Piston:
    nominal = 62 * MM + oversize
    skirt = Range(low=nominal - 4_500, high=nominal - 4_400)
    facts = {"number": number, "oversize": oversize, "nominal_bore": nominal, "skirt": skirt}
    return small.part(small.PISTON, **facts, grooves=())


PARTS = small.catalogue(pistons=(piston("P0", 0), piston("P1", 25_000)), routes=(HONE,))


def job(*best: Any, **changes: Any) -> Job:
    return small.job(
        CLEARANCE, **{"wear_per_rebuild": 3_000, "best": best or ("rebuilds_left",), **changes}
    )


def plan(task: Job, parts: Catalogue = PARTS) -> Plan:
    answer = decide(task, parts)
    assert answer.status == "proven best"
    assert answer.plan is not None
    return answer.plan


def value(of: Plan) -> ObjectiveValue:
    return next(item for item in of.objective if item.level == "rebuilds_left")


def test_a_larger_finish_where_it_leaves_more() -> None:
    """P0 takes finishes from 62.007; P1 is within the cut from 62.019 on."""
    found = plan(job())
    assert (found.cylinders[0].finish_large, found.rebuilds_left) == (62 * MM + 1_900, 1)
    assert (value(found).value, value(found).bound) == (0, 0)


@pytest.mark.parametrize("before", ["largest_removal", "total_removal", "part_number"])
def test_what_counts_before_it_stands(before: str) -> None:
    found = plan(job(before, "rebuilds_left"))
    assert (found.cylinders[0].finish_large, found.rebuilds_left) == (62 * MM + 700, 0)
    assert value(found).value == 1  # of the one that there could be


def test_unnamed_it_is_no_level() -> None:
    found = plan(job(*LEVELS))
    assert found.rebuilds_left is None
    assert tuple(item.level for item in found.objective) == LEVELS
    assert set(LEVEL_NAMES) == {*LEVELS, "rebuilds_left"}


def test_the_cylinder_with_the_fewest_counts() -> None:
    """The other wears more before each: it ends the engine."""
    worse = small.cylinder(name="2", wear_per_rebuild=30_000)
    found = plan(job(cylinders=(small.CYLINDER, worse)))
    assert found.rebuilds_left == 0
    assert value(found).value == 0  # nor could there be one
    assert [c.finish_large for c in found.cylinders] == [62 * MM + 700] * 2


def test_check_finds_a_wrong_number() -> None:
    task = job()
    found = plan(task)
    wrong = found.model_copy(update={"rebuilds_left": 2})
    assert any("2 rebuilds left are said" in line for line in violations(task, PARTS, wrong))
    levels = tuple(
        item.model_copy(update={"value": 1, "bound": 1}) if item == value(found) else item
        for item in found.objective
    )
    told = found.model_copy(update={"objective": levels})
    assert any("rebuilds_left: 1 is said" in line for line in violations(task, PARTS, told))


def test_without_wear_it_is_refused() -> None:
    task = job(wear_per_rebuild=None, cylinders=(small.cylinder(wear_per_rebuild=3_000),))
    assert plan(task).rebuilds_left == 1
    two = (small.cylinder(wear_per_rebuild=3_000), small.cylinder(name="2"))
    with pytest.raises(InputError) as caught:
        decide(job(wear_per_rebuild=None, cylinders=two), PARTS)
    assert caught.value.field == "wear_per_rebuild, cylinder 2"


def test_without_an_end_it_is_refused() -> None:
    endless = Window(fit="clearance", low=4_900)
    task = job(windows=(endless,))
    assert not counted(task, PARTS)
    with pytest.raises(InputError) as caught:
        decide(task, PARTS)
    assert caught.value.field == "bore_limit, cylinder 1"
    assert counted(job(windows=(endless,), engine=Engine(bore_limit=63 * MM)), PARTS)


def test_shop_and_screening_refuse_it() -> None:
    shop = Shop(name="shop", jobs=(ShopJob(job=job()),), catalogues=(PARTS,))
    with pytest.raises(InputError) as caught:
        allot(shop)
    assert (caught.value.field, caught.value.found) == ("best", "rebuilds_left")
    own = shop.model_copy(update={"best": LEVELS})  # then that of the job does not count
    assert allot(own).status == "proven best"
    with pytest.raises(InputError) as caught:
        pattern(job(*LEVELS, "rebuilds_left"), PARTS)
    assert (caught.value.field, caught.value.found) == ("best", "rebuilds_left")


def test_a_restored_bore_begins_anew() -> None:
    """A bore worn past P0 may be restored to it: then P1 is ahead again."""
    liner = Route(name="liner", kind="restore", restored_bore=62 * MM, half_width=200)
    bore = small.cylinder(
        readings=(small.CYLINDER.readings[0].model_copy(update={"size": 6_222_000}),)
    )
    parts = PARTS.model_copy(update={"routes": (HONE, liner)})
    task = job(cylinders=(bore,), routes=("hone", "liner"))
    found = plan(task, parts)
    assert (found.cylinders[0].route, found.rebuilds_left) == ("liner", 1)
    kept = plan(
        job("restored", "rebuilds_left", cylinders=(bore,), routes=("hone", "liner")), parts
    )
    assert (kept.cylinders[0].route, kept.rebuilds_left) == ("hone", 0)


def test_read_and_written(tmp_path: Path) -> None:
    demo = Path(__file__).parents[3] / "catalogs_demo" / "pump" / "ladder.toml"
    text = demo.read_text(encoding="utf-8")
    file = tmp_path / "job.toml"
    file.write_text(
        text.replace("format = 1\n", 'format = 1\nbest = ["price", "rebuilds_left"]\n'),
        encoding="utf-8",
    )
    found = read_job(file)
    assert found.best == ("price", "rebuilds_left")
    file.write_text(job_text(found), encoding="utf-8")
    assert read_job(file).best == ("price", "rebuilds_left")


def test_said_as_rebuilds_left() -> None:
    found = plan(job())
    open_ = ObjectiveValue(level="rebuilds_left", value=2, bound=0, proven=False)
    row = _level_row(open_, found, Figures("mm"), "")
    assert row == ("rebuilds left, at most", "1", "not above 3", "no")


def drawn(dice: Random) -> tuple[Step, ...]:
    """Routes with a few intervals of finishes between 0 and 60."""
    found = []
    for index in range(dice.randint(1, 3)):
        half = dice.randint(0, 2)
        route = Route(
            name=f"R{index}",
            kind="finish hone",
            min_cut=dice.randint(0, 3),
            max_cut=dice.choice((None, dice.randint(1, 25))),
            half_width=half,
        )
        ends = sorted(dice.sample(range(60), 2 * dice.randint(1, 4)))
        found.append(Step(route, tuple(zip(ends[::2], ends[1::2], strict=True))))
    return tuple(found)


def test_ways_back_equal_chains_forward() -> None:
    """Every bore of the range: so many rebuilds are possible as there are ways in a row."""
    dice, seen = Random("ways"), set()
    for _ in range(150):
        steps, wear = drawn(dice), dice.randint(1, 5)
        each = list(ways(Ahead(steps, wear, 60), 60))
        for low in range(0, 60, 2):
            for high in range(low, min(low + 8, 60)):
                possible = (
                    any(
                        high <= way.most_high
                        and low >= way.least_low
                        and high - low <= way.most_spread
                        for way in found
                    )
                    for found in each
                )
                count = sum(takewhile(bool, possible))
                assert count == rebuilds(steps, low, high, wear)
                seen.add(count)
    assert seen >= set(range(6))


def test_most_is_never_passed() -> None:
    """The cut as if it had no limit: no bore that today's work can leave has more ahead."""
    (found,) = ahead(job(), PARTS)
    assert found.most == 1
    for low in range(62 * MM, 62 * MM + 3_000, 100):
        assert rebuilds(found.steps, low, low + 400, found.wear) <= found.most
