"""A tiny job with one way to do it: every rule's test bends one figure of it.

Ticks of 10 nm. The bore reads 62.000 mm, the hone takes at least 0.005 and holds 0.002 either
way, so the smallest local size afterwards is 62.005, the largest 62.009, the finish 62.007.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from fitsolver.checking.check import violations
from fitsolver.explain.reasons import no_fit
from fitsolver.planning.plan import make_plan
from fitsolver.records.base import Range, RuleId
from fitsolver.records.catalogue import Catalogue, Gasket, Groove, Piston, Ring, Route
from fitsolver.records.job import Cylinder, GasketPlace, Job, Squish
from fitsolver.records.plan import Plan
from fitsolver.records.readings import Reading
from fitsolver.records.windows import Window
from fitsolver.solving.problem import problem
from fitsolver.solving.solve import best

READ, LOW, HIGH, FINISH = 6_200_000, 6_200_500, 6_200_900, 6_200_700

PISTON = Piston(
    number="P",
    oversize=0,
    nominal_bore=6_200_000,
    skirt=Range(low=6_195_500, high=6_195_600),
    pin_diameter=1_600_000,
    compression_height=Range(low=3_400_000, high=3_400_000),
    grooves=(Groove(number=1, width=Range(low=203_000, high=204_000), depth=290_000),),
    mass=200_000,
    mass_tolerance=500,
    price=5_000,
    stock=4,
)
RING = Ring(
    number="R",
    grooves=(1,),
    gauge_diameter=6_200_000,
    gap=Range(low=25_000, high=30_000),
    width=Range(low=198_000, high=199_000),
    radial_depth=260_000,
    file_most=20_000,
    price=900,
    stock=4,
)
GASKET = Gasket(
    number="G",
    place="head",
    thickness=60_000,
    crush=10_000,
    compressed=Range(low=49_000, high=51_000),
    price=400,
    stock=4,
)
HONE = Route(
    name="hone", kind="finish hone", min_cut=500, max_cut=5_000, half_width=200, cost=2_000, days=1
)
CYLINDER = Cylinder(
    name="1", material="iron", readings=(Reading(depth=1_000_000, angle=0, size=READ),)
)


class Case(NamedTuple):
    """A job with its catalogue: every rule's test names one that keeps it, and one it refuses."""

    job: Job
    parts: Catalogue


def catalogue(**changes: Any) -> Catalogue:
    """The catalogue with one part of each kind, some fields changed."""
    rows: dict[str, Any] = {
        "pistons": (PISTON,),
        "rings": (RING,),
        "gaskets": (GASKET,),
        "routes": (HONE,),
    }
    return Catalogue(name="small", family="small", standard_bore=6_200_000, **{**rows, **changes})


def job(*windows: Window, **changes: Any) -> Job:
    """A job that is honed to a set size, with the windows given."""
    whole: dict[str, Any] = {
        "name": "small",
        "finishing": "set size",
        "cylinders": (CYLINDER,),
        "routes": ("hone",),
        "windows": windows,
    }
    return Job(**{**whole, **changes})


def cylinder(**changes: Any) -> Cylinder:
    """The cylinder with some fields changed."""
    return CYLINDER.model_copy(update=changes)


def part(record: Any, **changes: Any) -> Any:
    """A catalogue part with some fields changed."""
    return record.model_copy(update=changes)


def squished(low: int, high: int) -> Job:
    """A job with a squish window: measured base 33.5 mm + the stack - 34 mm."""
    return job(
        Window(fit="squish", low=low, high=high),
        cylinders=(cylinder(squish=Squish(base_low=3_450_000, base_high=3_450_000)),),
        gaskets=(GasketPlace(place="head"),),
    )


def plan_of(task: Job, parts: Catalogue) -> Plan | None:
    """The best plan, held against the solver-free check; None when nothing fits."""
    whole = problem(task, parts)
    found = best(whole)
    if found.selection is None:
        return None
    assert found.proven
    plan = make_plan(task, parts, whole.shelf, whole.cylinders, found.selection, found.levels)
    assert violations(task, parts, plan) == ()
    return plan


def holds(task: Job, parts: Catalogue | None = None) -> Plan:
    """The plan of a job that has one."""
    plan = plan_of(task, parts or catalogue())
    assert plan is not None
    return plan


def fails(rule: RuleId, task: Job, parts: Catalogue | None = None) -> str:
    """The sentence on `rule` of a job in which nothing fits because of it."""
    parts = parts or catalogue()
    assert plan_of(task, parts) is None
    reasons = no_fit(problem(task, parts)).reasons
    named = {reason.rule: reason.sentence for reason in reasons}
    assert rule in named, named
    assert named[rule]
    return named[rule]


def broken(rule: str, task: Job, parts: Catalogue, plan: Plan) -> bool:
    """Does the solver-free check find the rule broken by this plan?"""
    return any(sentence.startswith(f"{rule}: ") for sentence in violations(task, parts, plan))
