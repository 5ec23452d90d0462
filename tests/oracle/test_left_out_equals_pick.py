"""What would serve a job left out, held against `pick` with so much more beside what is left.

Read off docs/decision.md ("Many jobs, one shelf"), with nothing of how it is found: every number
is tried with one piece more, two, three, and every pair of numbers where no one alone does.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from itertools import combinations_with_replacement
from random import Random
from typing import Final

from fitsolver.allotment.allot import allot
from fitsolver.allotment.supply import sold, with_stock
from fitsolver.picking.decide import decide
from fitsolver.records.allotment import AllotmentAnswer, JobLeftOut, Shop
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.plan import Plan

from .dice import Dice
from .test_allot_equals_brute import draw_shop

#: Of the shops drawn, those in which jobs are left out in different ways.
SHOPS: Final = {"simple": (0, 9, 11), "supply": (1,)}
#: The first numbers alone that are named; pieces tried of a number.
NAMED, MOST = 6, 3
#: What must have been met.
KINDS: Final = (
    *("1 numbers at once", "one number alone", "a number that the shelf lacks"),
    *("never", "waits"),
)


def shops() -> Iterator[Shop]:
    for theme, places in SHOPS.items():
        dice = Random(11)
        drawn = [dice.randbytes(8 * Dice.SIZE) for _ in range(max(places) + 1)]
        yield from (draw_shop(theme, drawn[at]) for at in places)


def left_over(shop: Shop, answer: AllotmentAnswer) -> dict[str, int]:
    """Return what all served jobs leave of every number."""
    counts = Counter({item.number: item.stock for item in sold(shop.catalogues[0])})
    for line in answer.shelf:
        counts[line.number] -= line.taken
    return dict(counts)


def planned(job: Job, catalogue: Catalogue, stock: Mapping[str, int]) -> Plan | None:
    return decide(job, with_stock(catalogue, stock)).plan


def serves(job: Job, shop: Shop, left: Mapping[str, int], more: Mapping[str, int]) -> bool:
    stock = {number: count + more.get(number, 0) for number, count in left.items()}
    return planned(job, shop.catalogues[0], stock) is not None


def held(job: Job, shop: Shop, left: dict[str, int], told: JobLeftOut) -> Iterator[str]:
    """Yield what of it was found to hold."""
    named = [{line.number: line.count for line in each} for each in told.serves]
    for each in named:
        assert all(line.left == left[line.number] for line in told.serves[named.index(each)])
        assert serves(job, shop, left, each), each
        for number in each:
            assert not serves(job, shop, left, {**each, number: each[number] - 1}), each
    total = sum(named[0].values())
    assert all(total <= sum(each.values()) for each in named)
    for fewer in range(1, min(total, MOST)):
        for some in combinations_with_replacement(sorted(left), fewer):
            assert not serves(job, shop, left, Counter(some)), (some, named)
    yield f"{len(named[0])} numbers at once"
    singles = [each for each in named if len(each) == 1]
    if len(named) < NAMED:
        for number in sorted(left):
            count = next((n for n in range(1, MOST + 1) if serves(job, shop, left, {number: n})), 0)
            if count:
                assert {number: count} in singles, (number, count, named)
                yield "one number alone"
                if left[number] == 0:
                    yield "a number that the shelf lacks"


def waited(job: Job, shop: Shop, left: Mapping[str, int], told: JobLeftOut) -> Iterator[str]:
    if job.terms.needed_in_days is None:
        assert told.waits is None
        return
    terms = job.terms.model_copy(update={"needed_in_days": None, "needed_by": None})
    soon = job.model_copy(update={"terms": terms, "best": ("days",)})
    plan = planned(soon, shop.catalogues[0], left)
    days = plan and next(level.value for level in plan.objective if level.level == "days")
    assert told.waits == days
    yield "never" if days is None else "waits"


def test_what_would_serve_is_what_a_pick_says() -> None:
    seen: Counter[str] = Counter()
    for shop in shops():
        answer = allot(shop)
        left = left_over(shop, answer)
        for item in answer.jobs:
            if item.status == "left out" and item.left_out is not None:
                job = next(entry.job for entry in shop.jobs if entry.job.name == item.job)
                seen.update(held(job, shop, left, item.left_out))
                seen.update(waited(job, shop, left, item.left_out))
    assert min(seen[key] for key in KINDS) > 0, seen
