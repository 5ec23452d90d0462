"""The ladder against a search that tries every finish size of every rebuild, tick by tick.

The bores are drawn a few hundredths of a millimetre wide, so that every tick can be tried.
"""

from __future__ import annotations

from functools import cache
from random import Random

import pytest

from fitsolver.picking.decide import decide
from fitsolver.planning.larger_sizes import ladders
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue, Piston, Route
from fitsolver.records.job import Cylinder, Engine, Job
from fitsolver.records.plan import CylinderPlan, Plan
from fitsolver.records.windows import Window

from .small import bore, catalogue, job

FARTHEST = 90  # ticks above the smallest local size: nothing drawn fits beyond it


def drawn(dice: Random) -> tuple[Job, Catalogue]:
    """A job of one cylinder and a catalogue, all of it within a few ticks of 1000."""
    pistons = []
    for index in range(dice.randint(1, 5)):
        low = dice.randint(995, 1050)
        skirt = Range(low=low, high=low + dice.randint(0, 3))
        nominal = 1000 + 10 * dice.randint(0, 4)
        pistons.append(
            Piston(
                number=f"P{index}",
                oversize=nominal - 1000,
                nominal_bore=nominal,
                skirt=skirt,
                price=1,
                stock=1,
            )
        )
    routes = [
        Route(
            name=f"R{index}",
            kind="finish hone",
            min_cut=dice.randint(0, 3),
            max_cut=dice.choice((None, None, dice.randint(3, 25))),
            half_width=dice.randint(0, 2),
            materials=dice.choice(((), (), ("steel",))),
        )
        for index in range(dice.randint(1, 3))
    ]
    low = dice.choice((None, dice.randint(-2, 8)))
    window = Window(fit="clearance", low=low, high=(low or 0) + dice.randint(4, 16))
    size = dice.randint(1000, 1010)
    cylinder = bore(
        "1", size, size + dice.randint(0, 4), wear_per_rebuild=dice.choice((None, 3))
    ).model_copy(update={"scratch": dice.choice((0, 0, 1, 2))})
    task = job(
        cylinder,
        windows=(window,),
        wear_per_rebuild=dice.randint(1, 5),
        finishing=dice.choice(("piston in hand", "set size")),
        engine=Engine(bore_limit=dice.choice((None, dice.randint(1010, 1070)))),
    )
    return task, catalogue(*pistons, *routes, standard_bore=1000)


def fits(task: Job, piston: Piston, low: int, high: int) -> bool:
    """Do all local sizes from `low` to `high` suit every piston of the tolerance?"""
    window = task.windows[0]
    assert window.high is not None
    lowest = low - piston.skirt.high
    limit = task.engine.bore_limit
    return (
        lowest >= (window.low or 0)  # where nothing is stated, the skirt still goes in
        and high - piston.skirt.low <= window.high
        and (limit is None or high <= limit)
    )


def most(task: Job, parts: Catalogue, low: int, high: int, nominal: int | None = None) -> int:
    """The most rebuilds, by trying them all; of the pistons of one size where it is given."""
    cylinder = task.cylinders[0]
    wear = cylinder.wear_per_rebuild or task.wear_per_rebuild
    assert wear is not None
    pistons = [p for p in parts.pistons if nominal in (None, p.nominal_bore)]

    @cache
    def after(low: int, high: int) -> int:
        best = 0
        for route in parts.routes:
            if route.materials and cylinder.material not in route.materials:
                continue
            half = route.half_width
            for finish in range(low, 1000 + FARTHEST):
                if finish - half < high + wear + route.min_cut:
                    continue
                if route.max_cut is not None and finish - low > route.max_cut:
                    continue
                if any(fits(task, piston, finish - half, finish + half) for piston in pistons):
                    best = max(best, 1 + after(finish - half, finish + half))
        return best

    return after(low, high)


def removal(
    task: Job, parts: Catalogue, nominal: int, low: int, high: int, scratch: int
) -> int | None:
    """The least removal to a size for a bore machined to a set size or left as it is."""
    found = []
    for piston in parts.pistons:
        if piston.nominal_bore != nominal:
            continue
        if scratch == 0 and fits(task, piston, low, high):
            found.append(0)
        for route in parts.routes:
            half = route.half_width
            if route.materials and task.cylinders[0].material not in route.materials:
                continue
            for finish in range(low, 1000 + FARTHEST):
                if finish - half < high + max(route.min_cut, 2 * scratch):
                    continue
                if route.max_cut is not None and finish - low > route.max_cut:
                    continue
                if fits(task, piston, finish - half, finish + half):
                    found.append(finish - low)
    return min(found, default=None)


def planned(plan: Plan | None) -> CylinderPlan | None:
    return None if plan is None else plan.cylinders[0]


@pytest.mark.parametrize("seed", range(40))
def test_rebuilds_equal_exhaustive_search(seed: int) -> None:
    dice = Random(f"ladder {seed}")
    for _ in range(10):
        task, parts = drawn(dice)
        plan = decide(task, parts).plan
        (ladder,) = ladders(task, parts, plan)
        chosen = planned(plan)
        if chosen is None:
            assert ladder.rebuilds_left is None
            assert ladder.light_hones is None
            continue
        low, high = chosen.bore_low, chosen.bore_high
        assert ladder.rebuilds_left == most(task, parts, low, high)
        assert ladder.light_hones == most(task, parts, low, high, chosen.nominal_bore)


@pytest.mark.parametrize("seed", range(20))
def test_removals_equal_exhaustive_search(seed: int) -> None:
    dice = Random(f"rungs {seed}")
    for _ in range(10):
        task, parts = drawn(dice)
        task = task.model_copy(update={"finishing": "set size"})
        plan = decide(task, parts).plan
        chosen = planned(plan)
        cylinder: Cylinder = task.cylinders[0]
        sizes = [reading.size for reading in cylinder.readings]
        (ladder,) = ladders(task, parts, plan)
        assert plan is not None or len(ladder.rungs) == len(
            {piston.nominal_bore for piston in parts.pistons}
        )
        for rung in ladder.rungs:
            now = removal(task, parts, rung.nominal_bore, min(sizes), max(sizes), cylinder.scratch)
            assert rung.removal_now == now
            assert (rung.barred_by is None) == (now is not None)
            if chosen is not None and not rung.chosen:
                low, high = chosen.bore_low, chosen.bore_high
                after = removal(task, parts, rung.nominal_bore, low, high, 0)
                assert rung.removal_after == after


def test_the_draws_are_worth_it() -> None:
    """Chains of several rebuilds, bores without a plan and sizes that are barred all occur."""
    counts, barred, none = set(), set(), 0
    dice = Random("worth")
    for _ in range(150):
        task, parts = drawn(dice)
        plan = decide(task, parts).plan
        (ladder,) = ladders(task, parts, plan)
        counts.add(ladder.rebuilds_left)
        barred |= {rung.barred_by for rung in ladder.rungs}
        none += plan is None
    assert counts >= {0, 1, 2, 3, 4}
    assert barred >= {None, "clearance", "bore_limit"}
    assert none > 5
