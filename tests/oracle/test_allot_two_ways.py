"""The pool against the joint model, two ways to the same: shops larger than brute force can do.

The joint model is one CP-SAT model of all jobs with the rules of a single job; the pool knows only
combinations, masses and sizes. They share nothing but the choices of a cylinder.
"""

from __future__ import annotations

from random import Random

import pytest

from fitsolver.allotment.allot import _prepared, allot
from fitsolver.allotment.component import Component, components
from fitsolver.allotment.joint import solve_joint
from fitsolver.allotment.result import Result
from fitsolver.allotment.serving import serving_levels
from fitsolver.allotment.solve import by_columns, forms_of_jobs
from fitsolver.allotment.start import one_by_one
from fitsolver.allotment.supply import stock_of
from fitsolver.base.deadline import Clock
from fitsolver.records.allotment import Shop
from tests.bench.allot_instances import shop, with_kits

#: Seconds that the joint model may take; these shops need a tenth of it.
LONG = 120.0


@pytest.mark.parametrize("plenty", [0.7, 1.0, 1.5])
@pytest.mark.parametrize("seed", range(1, 5))
def test_the_pool_comes_to_what_the_joint_model_does(seed: int, plenty: float) -> None:
    for part in _parts(shop(5, seed, plenty)):
        pool = _by_columns(part)
        joint = solve_joint(part, one_by_one(part, Clock(LONG)), Clock(LONG), {})
        assert pool.proven
        assert joint.proven
        assert pool.values == joint.values


@pytest.mark.parametrize("plenty", [0.3, 0.7, 1.2])
@pytest.mark.parametrize("seed", [1, 2, 4, 6])
def test_with_kits_too(seed: int, plenty: float) -> None:
    """Kits on the shelf and to order, parts that are not sold singly, budgets."""
    for part in _parts(_with_budgets(with_kits(shop(4, seed, plenty), seed), seed)):
        pool = _by_columns(part)
        joint = solve_joint(part, one_by_one(part, Clock(LONG)), Clock(LONG), {})
        assert pool.proven
        assert joint.proven
        assert pool.values == joint.values


def _by_columns(part: Component) -> Result:
    """Return what the pool comes to, where the joint model would be taken too."""
    found = forms_of_jobs(part, Clock(LONG))
    assert found is not None
    return by_columns(part, found, Clock(LONG), {})


def _with_budgets(one: Shop, seed: int) -> Shop:
    dice = Random(seed)
    (catalogue,) = one.catalogues
    pistons = tuple(
        p.model_copy(update={"price": None}) if dice.random() < 0.2 else p
        for p in catalogue.pistons
    )
    jobs = []
    for entry in one.jobs:
        budget = len(entry.job.cylinders) * dice.choice((11000, 13000, 16000))
        terms = entry.job.terms.model_copy(update={"budget": dice.choice((None, budget))})
        job = entry.job.model_copy(update={"terms": terms})
        jobs.append(entry.model_copy(update={"job": job}))
    catalogues = (catalogue.model_copy(update={"pistons": pistons}),)
    return one.model_copy(update={"jobs": tuple(jobs), "catalogues": catalogues})


@pytest.mark.parametrize(("jobs", "seed", "plenty"), [(10, 6, 1.0), (10, 10, 1.5), (10, 12, 2.0)])
def test_days_leave_what_was_settled_before(jobs: int, seed: int, plenty: float) -> None:
    """Pieces that spare a wait must not take the place of those that earlier levels hang on.

    `allot` holds the plans against what was proven, and raises CheckError where they differ.
    """
    assert allot(shop(jobs, seed, plenty)).status == "proven best"


def _parts(whole: Shop) -> list[Component]:
    stock = stock_of(whole)
    order = whole.order[: whole.order.index("part_number")]
    parts = components(_prepared(whole, stock), stock, serving_levels(whole.jobs), order)
    return [part for part in parts if len(part.jobs) > 1]
