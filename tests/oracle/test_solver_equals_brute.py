"""The solver against the brute force: the same plan in every detail, or no plan on both sides.

The jobs are drawn in the themes of `dice.THEMES`, which `test_generate` measures: one and
several cylinders, same size, mass match, limited quantities, kits, filing, stacks, all ways of
finishing, windows per unit of bore, inch and millimetre steps.
"""

from __future__ import annotations

from collections import Counter
from typing import Any, Final

import pytest
from hypothesis import HealthCheck, given, reject, settings

from fitsolver.picking.decide import decide
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.plan import Answer, CylinderPlan

from . import small
from .brute import BrutePlan, best_plan
from .brute_cylinder import Option, TooManyError
from .generate import cases
from .small import inch

#: Jobs a theme, 3800 in all: about two minutes.
EXAMPLES: Final = {
    "rings": 900,
    "supply": 550,
    "sets": 550,
    "finish": 600,
    "gaskets": 400,
    "timing": 250,
    "everything": 550,
}


def checked(name: str, share: float = 1.0) -> Any:
    """Run a test on jobs of a theme, the same ones every time."""
    calm = settings(
        derandomize=True,
        database=None,
        deadline=None,
        max_examples=round(share * EXAMPLES[name]),
        suppress_health_check=list(HealthCheck),
    )
    return lambda test: calm(given(cases(name))(test))


@checked("rings")
def test_rings_with_filing(case: tuple[Job, Catalogue]) -> None:
    compare(*case)


@checked("supply")
def test_limited_quantities_and_kits(case: tuple[Job, Catalogue]) -> None:
    compare(*case)


@checked("sets")
def test_same_size_and_mass_match(case: tuple[Job, Catalogue]) -> None:
    compare(*case)


@checked("finish")
def test_ways_of_finishing_and_form(case: tuple[Job, Catalogue]) -> None:
    compare(*case)


@checked("gaskets")
def test_stacks(case: tuple[Job, Catalogue]) -> None:
    compare(*case)


@checked("timing")
def test_port_timing_and_compression(case: tuple[Job, Catalogue]) -> None:
    compare(*case)


@checked("everything")
def test_everything_together(case: tuple[Job, Catalogue]) -> None:
    compare(*case)


@pytest.mark.parametrize("name", EXAMPLES)
def test_narrowing_by_removal(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Small jobs have few options; a first model of one option makes narrowing take part."""
    monkeypatch.setattr("fitsolver.solving.solve._FIRST", 1)
    monkeypatch.setattr("fitsolver.solving.solve._GROWTH", 2)

    @checked(name, share=0.2)
    def narrowed(case: tuple[Job, Catalogue]) -> None:
        compare(*case)

    narrowed()


def test_nothing_is_honed_where_a_bore_may_stay() -> None:
    """A job that a solver once got wrong, bounding the largest removal by 0.0025 in.

    The bore of 2.4441 in leaves P-8 a clearance of 0.0012 in: nothing has to go.
    """
    parts = small.catalogue(
        small.piston("P-8", inch("2.4439"), inch("2.4429"), base=inch("2.4409")),
        small.piston("P-7", inch("2.4469"), inch("2.4457"), inch("2.4459"), base=inch("2.4409")),
        small.ring("R-8", inch("2.4439"), inch("0.0020"), inch("0.0024")),
        small.ring("R-7", inch("2.4499"), inch("0.0020"), file_most=inch("0.0160")),
        small.ring("R-6", inch("2.4439"), inch("0.0026"), inch("0.0028")),
        small.hone(inch("0.0001"), min_cut=inch("0.0001")),
        small.hone(inch("0.0002"), name="bore and hone", kind="bore and hone"),
        standard_bore=inch("2.4409"),
    )
    windows = (
        small.window("clearance", inch("0.0006"), inch("0.0021")),
        small.window("end_gap", inch("0.0020"), inch("0.0061")),
    )
    job = small.job(small.bore("1", inch("2.4441")), windows=windows, unit="in")
    compare(job, parts)
    answer = decide(job, parts)
    assert answer.plan is not None
    assert {v.level: v.value for v in answer.plan.objective}["largest_removal"] == 0


def compare(job: Job, catalogue: Catalogue) -> None:
    """Hold the answer against the brute force."""
    try:
        best = best_plan(job, catalogue)
    except TooManyError:
        reject()
    answer = decide(job, catalogue)
    assert answer.status == ("nothing fits" if best is None else "proven best")
    assert (answer.plan is None) == (best is None)
    assert (answer.no_fit is None) == (best is not None)
    if best is not None:
        compare_plan(answer, best)


def compare_plan(answer: Answer, best: BrutePlan) -> None:
    plan = answer.plan
    assert plan is not None
    levels = [(value.level, value.value) for value in plan.objective]
    assert [level for level in levels if level[0] != "part_number"] == list(best.levels)
    assert all(value.proven and value.bound == value.value for value in plan.objective)
    for found, option in zip(plan.cylinders, best.cylinders, strict=True):
        assert as_found(found) == as_tried(option)
    order = Counter({(line.number, line.source): line.count for line in plan.order})
    assert len(order) == len(plan.order)
    assert dict(order) == best.order
    assert (plan.price, plan.days) == (dict(best.levels)["price"], dict(best.levels)["days"])


def as_found(plan: CylinderPlan) -> dict[str, Any]:
    return {
        "piston": (plan.piston.number, plan.piston.piece),
        "route": plan.route,
        "rings": [(ring.number, ring.piece, ring.filing) for ring in plan.rings],
        "gaskets": {(g.place, g.number): g.count for g in plan.gaskets},
        "bore": (plan.bore_low, plan.bore_high),
        "removal": plan.removal,
    }


def as_tried(option: Option) -> dict[str, Any]:
    rings = zip(option.rings, option.filings, strict=True)
    return {
        "piston": (option.piston.part.number, option.piston.piece),
        "route": option.route.name,
        "rings": [(ring.part.number, ring.piece, filing) for ring, filing in rings],
        "gaskets": dict(Counter((g.place, g.number) for stack in option.stacks for g in stack)),
        "bore": (option.finish.low, option.finish.high),
        "removal": option.finish.removal,
    }
