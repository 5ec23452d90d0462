"""Reduced-cost fixing against every solution of small instances, one by one."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from fitsolver.base.deadline import Clock
from fitsolver.mip.column_generation import relaxed
from fitsolver.mip.dual_bound import dual_bound
from fitsolver.mip.fixing import composed, fixed, lifted, projected
from fitsolver.mip.instance import objective

from .worked import drawn, solutions

SEEDS = range(40)


@pytest.mark.parametrize("seed", SEEDS)
def test_no_solution_as_good_is_fixed(seed: int) -> None:
    instance, dice = drawn(seed), Random(seed)
    every = solutions(instance)
    if not every:
        pytest.skip("no solution")
    value = min(each for each, _ in every) + dice.randrange(3)
    duals = np.array([dice.randrange(4) for _ in instance.capacity], dtype=np.int64)
    sub = fixed(dual_bound(instance, 0, duals, 1), value)
    as_good = [one for each, one in every if each <= value]
    left = [lifted(one, sub) for _, one in solutions(sub.instance)]
    for one in as_good:
        assert one in left
        (back,) = [lifted({c.job: c for c in projected(one.values(), sub)}, sub)]
        assert back == one
    if sub.exact:
        assert all(objective(instance, one, 0) <= value for one in left)
        assert len(left) == len(as_good)


def test_fixing_leaves_out_what_is_dear() -> None:
    kept = every = exact = 0
    for seed in SEEDS:
        instance = drawn(seed)
        found = solutions(instance)
        if found:
            least, one = min(found, key=lambda some: some[0])
            sub = fixed(relaxed(instance, 0, one, (), (), Clock(None)).dual, least)
            kept, every = kept + len(sub.item_of), every + len(instance.costs)
            exact += sub.exact
    assert kept < 0.9 * every
    assert exact > 0


@pytest.mark.parametrize("seed", SEEDS)
def test_fixing_twice_is_composed(seed: int) -> None:
    instance = drawn(seed)
    found = solutions(instance)
    if not found:
        pytest.skip("no solution")
    value = min(each for each, _ in found)
    none = np.zeros(len(instance.capacity), dtype=np.int64)
    outer = fixed(dual_bound(instance, 0, none, 1), value + 2)
    inner = fixed(dual_bound(outer.instance, 0, none, 1), value)
    both = composed(outer, inner)
    for _, one in solutions(inner.instance):
        assert lifted(one, both) == lifted(lifted(one, inner), outer)


def test_columns_that_are_fixed_are_not_projected() -> None:
    instance = drawn(1)
    none = np.zeros(len(instance.capacity), dtype=np.int64)
    dual = dual_bound(instance, 0, none, 1)
    sub = fixed(dual, dual.bound)
    dear = [one for value, one in solutions(instance) if value > dual.bound]
    assert all(len(projected(one.values(), sub)) < instance.jobs for one in dear)
