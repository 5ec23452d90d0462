from fitsolver.records.catalogue import Kit, KitItem
from fitsolver.records.job import InHand, Job, Terms

from . import small

PRICE = 5_000 + 900 + 2_000  # piston, ring, route


def timed(**terms: int) -> Job:
    return small.job(terms=Terms(**terms))


def with_piston(**changes: object) -> object:
    return small.catalogue(pistons=(small.part(small.PISTON, **changes),))


def test_the_last_piece_in_stock_is_taken() -> None:
    plan = small.holds(small.job(), with_piston(stock=1))
    assert ("P", "stock", 1) in {(line.number, line.source, line.count) for line in plan.order}


def test_without_a_piece_there_is_no_plan() -> None:
    sentence = small.fails("availability", small.job(), with_piston(stock=0))
    assert sentence == (
        "the standard size fits cylinder 1, 0.007 mm removed; P: none in stock, no lead time given"
    )


def test_a_piece_in_hand_will_do() -> None:
    task = small.job(in_hand=(InHand(number="P"),))
    plan = small.holds(task, with_piston(stock=0))
    assert plan.parts_price == 900


def test_a_kit_brings_what_is_not_sold_singly() -> None:
    kit = Kit(number="K", contents=(KitItem(number="P", count=1),), price=3_000, stock=1)
    parts = small.catalogue(pistons=(small.part(small.PISTON, price=None),), kits=(kit,))
    plan = small.holds(small.job(), parts)
    assert [line.number for line in plan.order] == ["K", "R"]
    small.fails("availability", small.job(), small.catalogue(pistons=parts.pistons))


def test_the_budget_is_just_enough() -> None:
    assert small.holds(timed(budget=PRICE)).price == PRICE
    assert ": 0.01 over" in small.fails("availability", timed(budget=PRICE - 1))


def test_there_is_just_time_enough() -> None:
    parts = with_piston(stock=0, lead_days=6)
    task = timed(needed_in_days=6)
    assert small.holds(task, parts).days == 6  # hone and delivery run side by side
    waits = small.job(finishing="piston in hand", terms=Terms(needed_in_days=6))
    assert ": 1 late" in small.fails("availability", waits, parts)  # 6 and then 1 to hone


def test_the_check_sees_it() -> None:
    task, parts = timed(budget=PRICE), small.catalogue()
    plan = small.holds(task, parts)
    assert not small.broken("availability", task, parts, plan)
    assert small.broken("availability", timed(budget=PRICE - 1), parts, plan)
    assert small.broken("availability", task, with_piston(stock=0), plan)


KEPT = small.Case(small.job(), with_piston(stock=1))
REFUSED = small.Case(small.job(), with_piston(stock=0))
