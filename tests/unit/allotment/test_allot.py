"""A shop allotted: priorities, shares, reasons, early ends, starts from an earlier answer."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from fitsolver.allotment import solve as solving
from fitsolver.allotment.allot import allot
from fitsolver.base.errors import InputError
from fitsolver.picking.decide import decide
from fitsolver.records.allotment import AllotmentAnswer, Shop, ShopJob, StockLine
from fitsolver.records.base import Range
from fitsolver.records.job import Squish, Terms
from fitsolver.reporting.schema import to_json
from tests.unit.rules import small

PARTS = small.catalogue()


def entry(name: str, priority: int | None = None, **changes: Any) -> ShopJob:
    return ShopJob(job=small.job(name=name, **changes), priority=priority)


def shop(*jobs: ShopJob, pistons: int = 4, rings: int = 9) -> Shop:
    shelf = (StockLine(number="P", count=pistons), StockLine(number="R", count=rings))
    return Shop(name="shop", jobs=jobs, catalogues=(PARTS,), shelf=shelf)


def status(answer: AllotmentAnswer) -> dict[str, str]:
    return {item.job: item.status for item in answer.jobs}


def test_one_job_is_picked_byte_for_byte() -> None:
    one = small.job()
    answer = allot(Shop(name="shop", jobs=(ShopJob(job=one),), catalogues=(PARTS,)))
    picked = answer.jobs[0].answer
    assert picked is not None
    assert to_json(picked) == to_json(decide(one, PARTS))


def test_the_first_priority_is_served_and_the_rest_told_why() -> None:
    answer = allot(shop(entry("late"), entry("first", 1), entry("second", 2), pistons=2))
    assert answer.status == "proven best"
    assert status(answer) == {"first": "served", "second": "served", "late": "left out"}
    told = answer.jobs[-1].left_out
    assert told is not None
    assert "1 x P needed, none left (used by first, second)" in told.sentence
    assert [[(i.number, i.count) for i in line] for line in told.serves] == [[("P", 1)]]
    assert [(level.priority, level.value, level.jobs) for level in answer.serving] == [
        (1, 0, 1),
        (2, 0, 1),
        (None, 1, 1),
    ]


def test_of_one_priority_the_sooner_due_is_served() -> None:
    jobs = [entry(f"in {days}", 1, terms=Terms(needed_in_days=days)) for days in (9, 3, 5)]
    answer = allot(shop(*jobs, pistons=1))
    assert status(answer) == {"in 3": "served", "in 5": "left out", "in 9": "left out"}


def test_more_jobs_served_comes_before_who_is_due() -> None:
    two = tuple(small.cylinder(name=name) for name in ("1", "2"))
    soon = entry("soon", 1, cylinders=two, terms=Terms(needed_in_days=2))
    answer = allot(shop(soon, entry("a", 1), entry("b", 1), pistons=2))
    assert status(answer) == {"soon": "left out", "a": "served", "b": "served"}


def test_a_job_that_can_never_be_served_is_named_and_the_others_go_on() -> None:
    wide = small.cylinder(bore_limit=small.HIGH - 1)
    answer = allot(shop(entry("good"), entry("bad", 1, cylinders=(wide,)), pistons=1))
    assert answer.status == "proven best"
    assert status(answer) == {"good": "served", "bad": "can never be served"}
    told = next(item.left_out for item in answer.jobs if item.job == "bad")
    assert told is not None
    assert told.no_fit is not None
    assert [reason.rule for reason in told.no_fit.reasons]


def test_shelf_and_order_add_up() -> None:
    answer = allot(shop(entry("a"), entry("b"), pistons=3))
    taken = {line.number: (line.count, line.taken, line.left) for line in answer.shelf}
    assert taken == {"P": (3, 2, 1), "R": (9, 2, 7)}
    plans = [item.answer.plan for item in answer.jobs if item.answer and item.answer.plan]
    price = next(value for value in answer.objective if value.level == "price")
    assert price.value == sum(plan.price for plan in plans)
    assert sum(line.price for line in answer.order) == sum(plan.parts_price for plan in plans)


def test_the_joint_model_comes_to_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    two = tuple(small.cylinder(name=name) for name in ("1", "2"))
    whole = shop(entry("a", 2), entry("b", 1, cylinders=two), entry("c", 2), pistons=3)
    before = allot(whole)
    monkeypatch.setattr(solving, "forms_of_jobs", lambda *_: None)
    after = allot(whole)
    assert (after.serving, after.objective) == (before.serving, before.objective)
    assert after.status == "proven best"


def test_a_short_time_gives_the_best_so_far_with_its_gap() -> None:
    answer = allot(shop(*(entry(f"j{i}") for i in range(6)), pistons=4), time_limit=1e-9)
    assert answer.status == "best found"
    assert list(status(answer).values()).count("served") == 4  # what is left is not wasted
    assert answer.serving[0].value == 2
    assert answer.serving[0].bound <= 2
    assert not answer.serving[0].proven


def test_what_did_not_change_is_taken_over(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = shop(*(entry(f"j{i}", i) for i in range(1, 4)), pistons=2)
    first = allot(whole)
    assert first.components

    def refuse(*_: object) -> object:
        raise AssertionError("nothing changed, so nothing is to be solved")

    monkeypatch.setattr("fitsolver.allotment.spread.solve_component", refuse)
    again = AllotmentAnswer.model_validate_json(to_json(first))
    assert allot(whole, last=again) == first


def test_a_change_starts_from_the_last_answer() -> None:
    jobs = [entry(f"j{i}", i) for i in range(1, 4)]
    first = allot(shop(*jobs, pistons=2))
    second = allot(shop(*jobs, pistons=1), last=first)
    assert second == allot(shop(*jobs, pistons=1))
    assert list(status(second).values()).count("served") == 1


@pytest.mark.parametrize(
    ("whole", "says"),
    [
        (shop(entry("a"), entry("a")), "two jobs have one name"),
        (shop(), "the shop has no jobs"),
    ],
)
def test_bad_shops(whole: Shop, says: str) -> None:
    with pytest.raises(InputError, match=says):
        allot(whole)


def test_catalogues_that_count_one_part_differently() -> None:
    other = small.catalogue(pistons=(small.part(small.PISTON, stock=1),))
    whole = Shop(name="shop", jobs=(entry("a"),), catalogues=(PARTS, other))
    with pytest.raises(InputError, match="count one part differently"):
        allot(whole)


def test_not_an_answer_to_start_from(tmp_path: Path) -> None:
    from fitsolver.allotment.last import read_allotment

    path = tmp_path / "other.json"
    path.write_text("{}")
    with pytest.raises(InputError, match="not the JSON document of an allotment"):
        read_allotment(path)


def test_no_job_is_given_a_piston_that_would_touch_the_head() -> None:
    """No window is on the squish and no gasket is chosen: the base has its floor all the same."""
    high = small.part(
        small.PISTON, number="A", compression_height=Range(low=3_400_001, high=3_400_001), price=1
    )
    bore = small.cylinder(squish=Squish(base_low=3_400_001, base_high=3_400_001))
    parts = small.catalogue(pistons=(high, small.PISTON), gaskets=())
    shelf = tuple(StockLine(number=number, count=1) for number in ("A", "P"))
    jobs = tuple(
        ShopJob(job=small.job(name=name, cylinders=(bore,)), priority=place)
        for place, name in enumerate(("first", "second"), start=1)
    )
    rings = StockLine(number="R", count=4)
    answer = allot(Shop(name="shop", jobs=jobs, catalogues=(parts,), shelf=(*shelf, rings)))
    assert status(answer) == {"first": "served", "second": "left out"}
    picked = answer.jobs[0].answer
    assert picked is not None and picked.plan is not None
    assert picked.plan.cylinders[0].piston.number == "P"


def test_parts_of_other_families_on_the_shelf_are_noted() -> None:
    shelf = (StockLine(number="P", count=1), StockLine(number="R", count=2))
    other = StockLine(number="X", count=3)
    whole = shop(entry("a")).model_copy(update={"shelf": (*shelf, other)})
    answer = allot(whole)
    assert status(answer) == {"a": "served"}
    assert any("in no catalogue of these jobs: X." in each for each in answer.cautions)
    assert "X" not in {line.number for line in answer.shelf}
