"""What fixing leaves of a level, against every solution of small instances, one by one."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from random import Random

import numpy as np
import pytest

from fitsolver.base.deadline import Clock
from fitsolver.mip.cutting_planes import CutBound, cut_bound
from fitsolver.mip.dual_bound import DualBound, dual_bound
from fitsolver.mip.enumeration import columns_within
from fitsolver.mip.fixing import Subinstance, fixed, lifted
from fitsolver.mip.instance import Column, Instance, Items, feasible, instance_of, objective
from fitsolver.mip.set_packing import set_packing_of
from fitsolver.mip.splitting import optimal_face, split

from .test_enumeration import columns

SEEDS = range(60)
#: A solution by job: the mode and the items of each column.
_Solution = tuple[tuple[int, tuple[int, ...]], ...]
_Case = tuple[Instance, DualBound, CutBound, int, set[_Solution]]


def drawn(dice: Random) -> Instance:
    """Jobs with a few modes, the next of which reaches farther; many items cost alike."""
    rows, items, jobs = 4, Items(), []
    for _ in range(dice.randrange(3, 5)):
        mine = []
        for _ in range(dice.randrange(1, 3)):
            spans = []
            for _ in range(dice.randrange(1, 3)):
                first = len(items)
                for _ in range(dice.randrange(1, 4)):
                    coefs = [(row, dice.choice((2, 4))) for row in dice.sample(range(rows), 2)]
                    items.add((10 * dice.randrange(4),), coefs)
                spans.append((first, len(items)))
            own = dice.randrange(3)
            at = items.add((10 * own,))
            mine.append([(at, at + 1), *((first, first + 1) for first, _ in spans)])
            at = items.add((10 * (own + dice.randrange(2)),))
            mine.append([(at, at + 1), *spans])
        jobs.append(mine)
    return instance_of(jobs, items, [dice.randrange(6, 14) for _ in range(rows)], 1)


def solutions(instance: Instance) -> Iterator[tuple[int, dict[int, Column]]]:
    """Yield every solution with what it costs."""
    for chosen in product(*columns(instance)):
        one = {column.job: column for column in chosen}
        if feasible(instance, one):
            yield objective(instance, one, 0), one


def as_before(instance: Instance, left: Subinstance) -> dict[_Solution, int]:
    """Return every solution of what is left, in terms of the instance, with its cost."""
    found = {}
    for _, one in solutions(left.instance):
        old = lifted(one, left)
        assert feasible(instance, old)
        found[_key(old)] = objective(instance, old, 0)
    return found


def _key(one: dict[int, Column]) -> _Solution:
    return tuple((column.mode, column.items) for _, column in sorted(one.items()))


def case(seed: int) -> _Case | None:
    """Return an instance, a weak bound, enumerated columns, the optimum and all that reach it."""
    dice = Random(seed)
    instance, clock = drawn(dice), Clock(None)
    every = list(solutions(instance))
    if not every:
        return None
    value = min(cost for cost, _ in every)
    duals = np.array([dice.randrange(3) for _ in instance.capacity], dtype=np.int64)
    dual = dual_bound(instance, 0, duals, 1)
    rows = dice.sample(range(4), dice.randrange(2, 5))
    some = columns_within(dual.priced, 0, dual.gap(value), rows, clock)
    assert some is not None
    cut = cut_bound(set_packing_of(instance, some, rows), dual.bound, value, clock)
    return instance, dual, cut, value, {_key(one) for cost, one in every if cost == value}


@pytest.fixture(params=SEEDS, name="found")
def some_case(request: pytest.FixtureRequest) -> _Case:
    found = case(request.param)
    if found is None:
        pytest.skip("nothing fits")
    return found


def test_split_modes_hold_all_that_is_as_good(found: _Case) -> None:
    instance, _, cut, value, best = found
    parts = split(instance, 0, cut, value, Clock(None))
    assert parts is not None
    assert best <= as_before(instance, parts.sub).keys()
    assert parts.sub.instance.capacity.dtype == np.int64
    again = dual_bound(parts.sub.instance, 0, parts.duals, parts.scale)
    assert cut.bound <= again.bound <= value


def test_what_is_left_is_all_that_is_as_good(found: _Case) -> None:
    instance, dual, cut, value, best = found
    for left in (fixed(dual, value), _left(dual, cut, value)):
        held = as_before(instance, left)
        assert best <= held.keys()
        if left.exact:
            assert set(held.values()) == {value}


def _left(dual: DualBound, cut: CutBound, value: int) -> Subinstance:
    return optimal_face(fixed(dual, value), 0, cut, value, Clock(None))


def test_columns_leave_less_than_duals() -> None:
    """Over many instances: enumerated columns make exact what duals alone leave open."""
    by_duals = by_columns = cases = 0
    for seed in SEEDS:
        found = case(seed)
        if found is not None:
            _, dual, cut, value, _ = found
            if cut.bound < value:
                continue  # rows that are not told apart bind
            cases += 1
            by_duals += fixed(dual, value).exact
            by_columns += _left(dual, cut, value).exact
    assert by_duals < 0.5 * cases
    assert by_columns > 0.9 * cases
