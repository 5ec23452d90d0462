"""The gap is closed whichever of its steps does it: against scipy's milp on a model of its own."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest

from fitsolver.base.deadline import Clock
from fitsolver.mip.column_generation import Relaxed
from fitsolver.mip.dual_bound import dual_bound
from fitsolver.mip.gap import Gap
from fitsolver.mip.instance import feasible, objective
from tests.oracle.test_mip_equals_milp import by_milp, draw

STEPS = ("_search", "_close_flow", "_enumerate")


def weak(seed: int, clock: Clock) -> Gap:
    """Return the gap between a poor incumbent and the bound without duals."""
    instance, start = draw(Random(seed))
    none = np.zeros(len(instance.capacity), dtype=np.int64)
    return Gap(1, Relaxed(start, dual_bound(instance, 1, none, 1), {}), clock)


@pytest.mark.parametrize("alone", [(), ("_close_flow",), ("_enumerate",), ("_search",)])
@pytest.mark.parametrize("seed", range(12))
def test_each_step_leads_to_the_optimum(
    seed: int, alone: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """On its second level alone, where leaving jobs out costs nothing but what they cost."""
    gap = weak(seed, Clock(None))
    for step in STEPS:
        if alone and step not in alone:
            monkeypatch.setattr(Gap, step, lambda *_: None)
    if gap.open:
        gap.close()
    least = _least(gap)
    assert feasible(gap.instance, gap.incumbent)
    assert objective(gap.instance, gap.incumbent, 1) == gap.value
    assert gap.bound <= least <= gap.value
    if alone != ("_search",):  # it finds, it does not prove
        assert gap.bound == least == gap.value


def _least(gap: Gap) -> int:
    """Return the optimum of the second level, as scipy has it."""
    return by_milp(replace(gap.instance, costs=gap.instance.costs[:, 1:2]))[0]


@pytest.mark.parametrize("seed", range(12))
def test_the_face_holds_the_optimum(seed: int) -> None:
    gap = weak(seed, Clock(None))
    if gap.open:
        gap.close()
    least = by_milp(gap.face().instance)
    assert least[1] >= gap.value


def test_no_step_is_taken_once_the_time_is_over() -> None:
    gap = weak(3, Clock(0.0))
    assert not gap.open
