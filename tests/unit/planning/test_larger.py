"""Larger sizes left: by hand in one small job, finish by finish in drawn ones."""

from __future__ import annotations

from bisect import bisect_left
from typing import Any

import pytest

from fitsolver.checking.check import violations
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue, Piston
from fitsolver.records.job import Engine, Finishing, Job
from fitsolver.records.plan import CylinderPlan, Plan
from fitsolver.records.windows import Window, find_window

from ..rules import small
from .drawn import planned

CLEARANCE = Window(fit="clearance", low=4_900, high=7_500)


def over(oversize: int, **changes: Any) -> Piston:
    """The small piston in another size: its skirt 0.044 to 0.045 below the nominal bore."""
    nominal = 6_200_000 + oversize
    facts = {
        "number": f"P{oversize}",
        "oversize": oversize,
        "nominal_bore": nominal,
        "skirt": Range(low=nominal - 4_500, high=nominal - 4_400),
    }
    return small.part(small.PISTON, **{**facts, **changes})  # type: ignore[no-any-return]


def left(*oversizes: int | Piston, window: Window | None = CLEARANCE, **changes: Any) -> list[bool]:
    """Which of the larger sizes a later rebuild can use; the plan finishes to 62.007 +- 0.002."""
    pistons = [over(item) if isinstance(item, int) else item for item in oversizes]
    task = small.job(*([window] if window else []), **changes)
    wide = small.part(small.HONE, name="wide", max_cut=None, half_width=200)
    parts = small.catalogue(pistons=(small.PISTON, *pistons), routes=(small.HONE, wide))
    if "routes" not in changes:
        task = task.model_copy(update={"routes": ("hone", "wide")})
    [item] = small.holds(task, parts).cylinders
    assert (item.bore_low, item.bore_high) == (6_200_500, 6_200_900)
    return [size.usable for size in item.larger_sizes]


def test_a_size_that_the_next_clean_up_passes_is_not_counted() -> None:
    """The least finish is 62.009 + 0.005 + 0.002 = 62.016; the highest is nominal + 0.028."""
    # its skirt is nominal - 0.045, its clearance 0.075, its half-width 0.002
    assert left(100, 25_000) == [True, True]  # 62.001 + 0.028 = 62.029 is above 62.016
    narrow = Window(fit="clearance", low=4_900, high=5_900)  # the highest is nominal + 0.012
    assert left(399, window=narrow) == [False]
    assert left(400, window=narrow) == [True]


def test_wear_counts_where_it_is_stated() -> None:
    """0.010 of wear lifts the least finish to 62.026."""
    narrow = Window(fit="clearance", low=4_900, high=5_900)
    assert left(1_399, window=narrow, wear_per_rebuild=1_000) == [False]
    assert left(1_400, window=narrow, wear_per_rebuild=1_000) == [True]


def test_without_a_highest_clearance_the_nominal_bore_ends_a_size() -> None:
    """Or the least finish that the lowest clearance permits, nominal + 0.007 here."""
    lower = Window(fit="clearance", low=4_900, high=None)
    assert left(899, window=lower) == [False]
    assert left(900, window=lower) == [True]
    loose = over(1_599, skirt=Range(low=6_190_000, high=6_190_000))
    assert left(loose, window=lower) == [False]
    loose = over(1_600, skirt=Range(low=6_190_000, high=6_190_000))
    assert left(loose, window=lower) == [True]


def test_beyond_the_bore_limit_none_is_left() -> None:
    """The least bore of +0.25 ends at 62.25 - 0.044 + 0.049 + 2 x 0.002 = 62.259."""
    for limit, fits in ((6_225_900, True), (6_225_899, False)):
        engine = Engine(bore_limit=limit, pin_diameter=1_600_000)
        assert left(25_000, 50_000, engine=engine) == [fits, False]


def test_a_cut_too_large_is_gone_by_way_of_another_size() -> None:
    """The hone takes 0.050 at most: 62.050 is reached, 62.100 only from there."""
    hone = {"routes": ("hone",)}
    assert left(4_000, **hone) == [True]
    assert left(8_000, **hone) == [False]
    assert left(4_000, 8_000, **hone) == [True, True]
    assert left(4_000, 30_000, **hone) == [True, False]


def test_a_piston_refused_whatever_the_bore_is_none() -> None:
    engine = Engine(pin_diameter=1_600_000)
    assert left(over(25_000, pin_diameter=1_800_000), 50_000, engine=engine) == [False, True]


def test_the_check_finds_a_wrong_one() -> None:
    task = small.job(CLEARANCE, routes=("hone",))
    parts = small.catalogue(pistons=(small.PISTON, over(4_000), over(30_000)))
    plan = small.holds(task, parts)
    [item] = plan.cylinders
    for index, size in enumerate(item.larger_sizes):
        wrong = list(item.larger_sizes)
        wrong[index] = size.model_copy(update={"usable": not size.usable})
        changed = _with(plan, item.model_copy(update={"larger_sizes": tuple(wrong)}))
        assert any(
            "that a later rebuild can use" in said for said in violations(task, parts, changed)
        )


def _with(plan: Plan, item: CylinderPlan) -> Plan:
    return plan.model_copy(update={"cylinders": (item,)})


@pytest.mark.parametrize("finishing", ["set size", "piston in hand", "already finished"])
def test_every_finish_tried(finishing: Finishing) -> None:
    """Every finish to the tick, one after another, in drawn jobs."""
    seen = set()
    for job, catalogue, plan in planned(seed=5, draws=150, finishing=finishing):
        for item in plan.cylinders:
            usable = {size.nominal_bore: size.usable for size in item.larger_sizes}
            assert usable == tried(job, catalogue, item)
            seen |= set(usable.values())
    assert seen == {True, False}


def tried(job: Job, catalogue: Catalogue, plan: CylinderPlan) -> dict[int, bool]:
    cylinder = next(c for c in job.cylinders if c.name == plan.cylinder)
    limit = job.bore_limit_for(cylinder) or 10**9
    wear = job.wear_for(cylinder) or 0
    window = find_window(job.windows_for(cylinder), "clearance")
    listed = cylinder.routes or job.routes
    routes = [
        r
        for r in catalogue.routes
        if r.kind not in ("as is", "restore")
        and (not listed or r.name in listed)
        and (not r.materials or cylinder.material in r.materials)
    ]
    bores = {(plan.bore_low, plan.bore_high)}
    found = {}
    for nominal in sorted(
        {p.nominal_bore for p in catalogue.pistons if p.nominal_bore > plan.nominal_bore}
    ):
        low, high = (None, None) if window is None else window.limits(nominal)
        spreads = {large - least for least, large in bores}
        by_spread = [(s, sorted(a for a, b in bores if b - a == s)) for s in spreads]
        new = set()
        for route in routes if nominal <= limit else ():
            h = route.half_width
            for piston in catalogue.pistons:
                pin = job.engine.pin_diameter
                if piston.nominal_bore != nominal or (
                    pin is not None and piston.pin_diameter not in (None, pin)
                ):
                    continue
                if piston.mass is None and any(
                    cylinder.name in m.cylinders for m in job.mass_match
                ):
                    continue
                if piston.compression_height is None and _stacked(job, cylinder.name):
                    continue
                first = piston.skirt.high + (low or 0) + h
                top = max(nominal, first) if high is None else piston.skirt.low + high - h
                for finish in range(first, min(top, limit - h) + 1):
                    clean = finish - h - wear - route.min_cut
                    least = -1 if route.max_cut is None else finish - route.max_cut
                    if any(_between(lows, least, clean - spread) for spread, lows in by_spread):
                        new.add((finish - h, finish + h))
        found[nominal] = bool(new)
        bores |= new
    return found


def _between(ordered: list[int], least: int, most: int) -> bool:
    at = bisect_left(ordered, least)
    return at < len(ordered) and ordered[at] <= most


def _stacked(job: Job, name: str) -> bool:
    cylinder = next(c for c in job.cylinders if c.name == name)
    asked = {w.fit for w in job.windows_for(cylinder)}
    return bool(asked & {"port_timing", "compression"}) or (
        cylinder.squish is not None and "squish" in asked
    )
