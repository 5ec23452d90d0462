"""Figures at the ends of what a job may hold: the arithmetic stays within 64 bits."""

from __future__ import annotations

import os
import random
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from fitsolver.base.lengths import LONGEST
from fitsolver.choices.types import NO_BOUND
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Engine, GasketPlace, Job
from fitsolver.records.windows import Window
from fitsolver.solving.possible import possible
from fitsolver.solving.problem import problem
from fitsolver.solving.solve import best

from ..rules import small

ROOT = Path(__file__).parents[3]


@pytest.mark.parametrize("finishing", ["set size", "piston in hand"])
@pytest.mark.parametrize("count", [1, 8, 16])
def test_many_cylinders_without_ceilings_and_a_displacement_limit(
    finishing: Any, count: int
) -> None:
    """No window and no largest cut: only the displacement holds the bores down.

    A bore honed to 62.007 +- 0.002 with a stroke of 50 mm makes 150.99 cm3.
    """
    parts = _plenty(max_cut=None)
    each = 150_990 * 10**15  # cubic ticks, rounded up
    for limit, fits in ((each * count, True), (each * count * 99 // 100, False)):
        job = _many(count, finishing, engine=Engine(stroke=5_000_000, displacement_limit=limit))
        assert possible(problem(job, parts)) == fits
        if fits:
            plan = small.holds(job, parts)
            assert plan.displacement is not None
            assert plan.displacement <= limit
            assert {item.bore_low for item in plan.cylinders} == {small.LOW}


def test_other_bores_that_use_up_the_displacement() -> None:
    engine = Engine(stroke=5_000_000, displacement_limit=10**20, other_bores=(6_200_000,))
    assert "100.00 cm3 permitted" in small.fails("displacement", small.job(engine=engine))


def test_large_prices_and_many_days() -> None:
    dear = 10**15
    parts = small.catalogue(
        pistons=(small.part(small.PISTON, price=dear, stock=0, lead_days=100_000),),
        routes=(small.part(small.HONE, cost=dear, days=90_000),),
    )
    plan = small.holds(small.job(finishing="piston in hand"), parts)
    assert plan.price == 2 * dear + 900
    assert plan.days == 190_000


@pytest.mark.parametrize("bore", [300_000_000, 600_000_000, 990_000_000])
def test_bores_of_metres(bore: int) -> None:
    """Up to ten metres, with a ceiling that is shown and not taken for none."""
    grown = bore - small.READ
    piston = small.part(
        small.PISTON,
        nominal_bore=bore,
        skirt=small.Range(low=6_195_500 + grown, high=6_195_600 + grown),
    )
    ring = small.part(small.RING, gauge_diameter=bore)
    reading = small.Reading(depth=1_000_000, angle=0, size=bore)
    window = Window(fit="clearance", low=4_000, high=8_000)
    job = small.job(window, cylinders=(small.cylinder(readings=(reading,)),))
    [item] = small.holds(job, small.catalogue(pistons=(piston,), rings=(ring,))).cylinders
    assert (item.finish_large, item.highest) == (6_200_700 + grown, 6_203_300 + grown)


def test_no_bound_is_no_shorter_than_the_longest_length() -> None:
    assert NO_BOUND >= LONGEST


def test_a_piston_without_grooves_takes_no_rings() -> None:
    bare = small.part(small.PISTON, grooves=())
    window = Window(fit="end_gap", low=20_000, high=60_000)
    plan = small.holds(small.job(window), small.catalogue(pistons=(bare,), rings=()))
    assert plan.cylinders[0].rings == ()


def test_pistons_with_and_without_a_groove_side_by_side() -> None:
    """The one without is dearer, but its bore needs no filing of a ring."""
    bare = small.part(small.PISTON, number="B", grooves=(), price=90_000)
    window = Window(fit="end_gap", low=40_000, high=60_000)
    [item] = small.holds(small.job(window), small.catalogue(pistons=(bare, small.PISTON))).cylinders
    assert (item.piston.number, item.rings) == ("B", ())


def test_a_shared_stack_is_bought_once() -> None:
    place = GasketPlace(place="head", least=2, most=2, shared=True)
    plan = small.holds(_many(3, "set size", gaskets=(place,)), _plenty())
    lines = {(line.number, line.source): line.count for line in plan.order}
    assert lines["G", "stock"] == 2
    apart = _many(3, "set size", gaskets=(place.model_copy(update={"shared": False}),))
    lines = {(line.number, line.source): line.count for line in small.holds(apart, _plenty()).order}
    assert lines["G", "stock"] == 6


def test_nothing_to_choose_from() -> None:
    small.fails("compatibility", small.job(), small.catalogue(pistons=()))
    pinned = small.cylinder(routes=("as is",), route="hone")
    small.fails("route_cut", small.job(cylinders=(pinned,)))
    assert best(problem(small.job(), small.catalogue(pistons=()))).settled


def test_the_same_bytes_whatever_the_hashes() -> None:
    """Plans and reasons of drawn jobs, in two processes whose sets are ordered differently."""
    said = [_answers(seed) for seed in ("0", "4711")]
    assert said[0] == said[1]
    assert said[0].count("\n") == 40
    assert "proven best" in said[0]
    assert "nothing fits" in said[0]


def _answers(hash_seed: str) -> str:
    environment = {**os.environ, "PYTHONHASHSEED": hash_seed, "PYTHONPATH": str(ROOT)}
    run = [sys.executable, "-c", f"from {__name__} import tell; tell()"]
    done = subprocess.run(
        run, cwd=ROOT, env=environment, capture_output=True, text=True, check=True, timeout=120
    )
    return done.stdout


def tell() -> None:
    """Write the answers to some drawn jobs, a line each."""
    from fitsolver.picking.decide import decide
    from tests.oracle.dice import THEMES, Dice
    from tests.oracle.generate import draw_case

    dice = random.Random(5)
    for _ in range(40):
        theme = dice.choice(list(THEMES.values()))
        sys.stdout.write(decide(*draw_case(theme, dice.randbytes(Dice.SIZE))).model_dump_json())
        sys.stdout.write("\n")


def _many(count: int, finishing: Any, **changes: Any) -> Job:
    cylinders = tuple(small.cylinder(name=str(index + 1)) for index in range(count))
    return small.job(cylinders=cylinders, finishing=finishing, **changes)


def _plenty(**route: Any) -> Catalogue:
    return small.catalogue(
        pistons=(small.part(small.PISTON, stock=99),),
        rings=(small.part(small.RING, stock=99),),
        gaskets=(small.part(small.GASKET, stock=99),),
        routes=(small.part(small.HONE, **route),),
    )
