"""The pool against the joint model, two ways to the same: shops larger than brute force can do.

The joint model is one CP-SAT model of all jobs with the rules of a single job; the pool knows only
combinations, masses and sizes. They share nothing but the choices of a cylinder.
"""

from __future__ import annotations

import pytest

from fitsolver.allotment.allot import _prepared, allot
from fitsolver.allotment.component import Component, components
from fitsolver.allotment.joint import solve_joint
from fitsolver.allotment.serving import serving_levels
from fitsolver.allotment.solve import solve_component
from fitsolver.allotment.start import one_by_one
from fitsolver.allotment.supply import stock_of
from fitsolver.records.allotment import Shop
from fitsolver.solving.search import Clock
from tests.bench.allot_instances import shop

#: Seconds that the joint model may take; these shops need a tenth of it.
LONG = 120.0


@pytest.mark.parametrize("plenty", [0.7, 1.0, 1.5])
@pytest.mark.parametrize("seed", range(1, 5))
def test_the_pool_comes_to_what_the_joint_model_does(seed: int, plenty: float) -> None:
    for part in _parts(shop(5, seed, plenty)):
        pool = solve_component(part, Clock(LONG))
        joint = solve_joint(part, one_by_one(part, Clock(LONG)), Clock(LONG), {})
        assert pool.proven
        assert joint.proven
        assert pool.values == joint.values


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
