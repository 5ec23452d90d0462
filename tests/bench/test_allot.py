"""Allotment at size, beside the plain model: it is never wrong, and its bound never above it."""

from __future__ import annotations

import resource
import subprocess
import sys
from pathlib import Path

import pytest

from fitsolver.allotment.allot import _prepared
from fitsolver.allotment.component import components
from fitsolver.allotment.serving import serving_levels
from fitsolver.allotment.solve import solve_component
from fitsolver.allotment.supply import stock_of
from fitsolver.base.deadline import Clock

from .allot_instances import shop
from .allot_plain import LEFT_OUT, listed, run

ROOT = Path(__file__).parents[2]

pytestmark = pytest.mark.bench


@pytest.mark.parametrize(("jobs", "plenty"), [(30, 4.0), (100, 4.0)])
def test_as_the_plain_model_has_it(jobs: int, plenty: float) -> None:
    whole = shop(jobs, 1, plenty)
    stock = stock_of(whole)
    prepared = _prepared(whole, stock)
    order = whole.order[: whole.order.index("part_number")]
    serving = serving_levels(whole.jobs)
    parts = components(prepared, stock, serving, order)
    results = [solve_component(part, Clock(60)) for part in parts]
    plain = run(prepared, listed(prepared, stock), stock, "HIGHS", 60)
    assert plain.proven
    served = sum(len(result.shares) for result in results)
    assert (jobs - served) == int(plain.value // LEFT_OUT)
    at = order.index("largest_removal")
    bounds = [r.bounds[len(p.serving) + at] for p, r in zip(parts, results, strict=True)]
    if None not in bounds:
        assert sum(b or 0 for b in bounds) <= plain.value % LEFT_OUT + 0.5


def test_the_demo_costs_little_more_than_one_pick() -> None:
    """Whole processes, by the time of the processor: a week of 40 jobs and the pick of one."""
    seconds = {}
    for verb, what in (("pick", "pump/job.toml"), ("allot", "workshop")):
        command = [sys.executable, "-m", "fitsolver", verb, f"catalogs_demo/{what}"]
        times = []
        for _ in range(3):
            before = resource.getrusage(resource.RUSAGE_CHILDREN)
            subprocess.run(command, cwd=ROOT, check=True, capture_output=True)
            after = resource.getrusage(resource.RUSAGE_CHILDREN)
            times.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
        seconds[verb] = min(times)
    assert seconds["allot"] <= 4 * seconds["pick"]


def test_the_plain_model_takes_longer() -> None:
    """The best of the solvers at their defaults, given twice the time, has not proven as much."""
    whole = shop(100, 1, 1.2)
    stock = stock_of(whole)
    prepared = _prepared(whole, stock)
    order = whole.order[: whole.order.index("part_number")]
    (part,) = components(prepared, stock, serving_levels(whole.jobs), order)
    begun: dict[str, float] = {}
    result = solve_component(part, Clock(None, begun.__setitem__))
    assert result.proven
    told, seconds = listed(prepared, stock), 2 * begun["total removal"]
    assert not any(
        run(prepared, told, stock, engine, seconds).proven for engine in ("HIGHS", "SCIP", "SAT")
    )
