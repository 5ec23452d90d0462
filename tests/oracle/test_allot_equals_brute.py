"""Allotments against every way to split the shelf, on drawn shops of two and three jobs."""

from __future__ import annotations

from collections import Counter
from typing import Any, Final

import pytest
from hypothesis import HealthCheck, given, reject, settings
from hypothesis import strategies as st

from fitsolver.allotment.allot import allot
from fitsolver.checking.check import violations
from fitsolver.picking.decide import decide
from fitsolver.records.allotment import AllotmentAnswer, Shop, ShopJob
from fitsolver.records.base import LEVELS
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Engine, Job

from .brute_cylinder import TooManyError
from .brute_shop import best_allotment
from .dice import THEMES, Dice, Scale
from .generate import _Draft
from .generate_catalogue import draw_catalogue

#: Shops a theme; "simple" ones are of jobs whose cylinders only size, mass and days join.
EXAMPLES: Final = {"simple": 12, "supply": 9, "sets": 3, "finish": 5, "gaskets": 2}
#: So many jobs are drawn for a shop, of which those are taken that can be done at all.
DRAWN: Final = 7


def shops(name: str) -> st.SearchStrategy[Shop]:
    size = 8 * Dice.SIZE
    return st.binary(min_size=size, max_size=size).map(lambda data: draw_shop(name, data))


def draw_shop(name: str, data: bytes) -> Shop:
    """Draw jobs for one catalogue, of which little is in stock and not all can be ordered."""
    dice, theme = Dice(data), THEMES["sets" if name == "simple" else name]
    step = dice.pick([s for s in theme.steps if s <= 5] or theme.steps)
    scale = Scale(step, "in" if step in (127, 254) else "mm")
    catalogue = scarce(dice, draw_catalogue(dice, theme, scale))
    if name == "simple":
        catalogue = catalogue.model_copy(update={"kits": ()})
    best: Any = LEVELS if name == "simple" or dice.chance(70) else dice.shuffled(LEVELS)
    jobs: list[ShopJob] = []
    for index in range(DRAWN):
        job = _Draft(dice, theme, scale, catalogue).job(dice.between(1, 2))
        due = dice.between(2, 14) if dice.chance(50) else None
        named: dict[str, Any] = {"name": f"job {index}", "best": best}
        named["terms"] = job.terms.model_copy(update={"needed_in_days": due})
        job = (simple if name == "simple" else Job.model_copy)(job, update=named)
        priority = dice.one_of(None, 1, 2)
        if len(jobs) < 3 and (index == DRAWN - 1 or decide(job, catalogue).plan is not None):
            jobs.append(ShopJob(job=job, priority=priority))
    return Shop(name="drawn", jobs=tuple(jobs), catalogues=(catalogue,))


def simple(job: Job, *, update: dict[str, Any]) -> Job:
    """The job without what joins its cylinders in other ways."""
    free: dict[str, Any] = {"piston": None, "piston_size": None, "piston_mass": None}
    free |= {"piston_kept": False, "rings": (), "squish": None}
    cylinders = tuple(c.model_copy(update=free) for c in job.cylinders)
    terms = update["terms"].model_copy(update={"budget": None})
    bare = {"gaskets": (), "in_hand": (), "engine": Engine(), "cylinders": cylinders}
    return job.model_copy(update={**update, **bare, "terms": terms})


def scarce(dice: Dice, catalogue: Catalogue) -> Catalogue:
    changed: dict[str, Any] = {}
    for kind in ("pistons", "rings", "gaskets", "kits"):
        changed[kind] = tuple(
            item.model_copy(
                update={
                    "stock": dice.one_of(0, 1, 1, 2),
                    "lead_days": None if dice.chance(60) else dice.between(1, 9),
                }
            )
            for item in getattr(catalogue, kind)
        )
    return catalogue.model_copy(update=changed)


def equal(shop: Shop) -> AllotmentAnswer:
    """Hold the answer against the brute force, every plan against the check, the shelf."""
    entries = [(entry.job, entry.priority) for entry in shop.jobs]
    answer = allot(shop)
    assert answer.status == "proven best"
    out, sums = best_allotment(entries, shop.catalogues[0])
    assert [level.value for level in answer.serving] == out
    assert [level.value for level in answer.objective] == sums
    assert all(v.bound == v.value for v in (*answer.serving, *answer.objective))
    keeps(shop, answer)
    return answer


def keeps(shop: Shop, answer: AllotmentAnswer) -> None:
    stock = {line.number: line.count for line in answer.shelf}
    taken: Counter[str] = Counter()
    for item in answer.jobs:
        plan = item.answer and item.answer.plan
        assert (plan is not None) == (item.status == "served")
        if plan:
            job = next(e.job for e in shop.jobs if e.job.name == item.job)
            assert violations(job, shop.catalogues[0], plan) == ()
            for line in plan.order:
                taken[line.number] += line.count * (line.source == "stock")
    assert all(count <= stock.get(number, 0) for number, count in taken.items())
    assert {line.number: line.taken for line in answer.shelf if line.taken} == +taken


@pytest.mark.parametrize("name", EXAMPLES)
def test_equals_every_split(name: str) -> None:
    tried = Counter[str]()

    @settings(
        derandomize=True,
        database=None,
        deadline=None,
        max_examples=EXAMPLES[name],
        suppress_health_check=list(HealthCheck),
    )
    @given(shops(name))
    def run(shop: Shop) -> None:
        try:
            answer = equal(shop)
        except TooManyError:
            reject()
        tried["jobs left out"] += any(item.status == "left out" for item in answer.jobs)
        tried["served"] += any(item.status == "served" for item in answer.jobs)

    run()
    assert tried["served"] > EXAMPLES[name] // 4
    if name == "simple":
        assert tried["jobs left out"], "no shelf was short"


@pytest.mark.parametrize("name", ["simple", "supply"])
def test_a_shop_of_one_job_is_picked(name: str) -> None:
    @settings(derandomize=True, database=None, deadline=None, max_examples=4)
    @given(shops(name))
    def run(shop: Shop) -> None:
        entry = shop.jobs[0]
        answer = allot(shop.model_copy(update={"jobs": (entry,)}))
        picked = decide(entry.job, shop.catalogues[0])
        if picked.plan is None:
            assert answer.jobs[0].status == "can never be served"
            assert answer.jobs[0].left_out is not None
            assert answer.jobs[0].left_out.no_fit == picked.no_fit
        else:
            assert answer.jobs[0].answer == picked

    run()
