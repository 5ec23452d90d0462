"""The flow model against the instance it stands for, and scipy's milp."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, linprog, milp
from scipy.sparse import csr_array

from fitsolver.mip.dual_bound import dual_bound
from fitsolver.mip.flow_model import FlowModel, flow_model
from fitsolver.mip.instance import feasible, objective
from tests.oracle.test_mip_equals_milp import by_milp, draw

from .worked import drawn, solutions


def matrix(flow: FlowModel) -> csr_array:
    model = flow.model
    shape = len(model.low), len(model.cost)
    return csr_array((model.value, (model.at_row, model.at_column)), shape=shape)


def solved(flow: FlowModel) -> np.ndarray | None:
    """Return the variables of the optimum as scipy's milp has it."""
    model = flow.model
    found = milp(
        model.cost,
        constraints=LinearConstraint(matrix(flow), model.low, model.high),
        bounds=Bounds(0, 1),
        integrality=np.ones(len(model.cost)),
    )
    return None if found.x is None else found.x > 0.5


@pytest.mark.parametrize("seed", range(30))
def test_its_optimum_is_that_of_the_instance(seed: int) -> None:
    instance = drawn(seed)
    flow = flow_model(instance, 0)
    ones, every = solved(flow), solutions(instance)
    if ones is None:
        assert not every
        return
    found = flow.solution(ones)
    assert feasible(instance, found)
    assert objective(instance, found, 0) == min(value for value, _ in every)


@pytest.mark.parametrize("seed", range(15))
@pytest.mark.parametrize("level", range(3))
def test_level_by_level_as_scipy_has_it_on_a_model_of_its_own(seed: int, level: int) -> None:
    instance, _ = draw(Random(seed))
    flow = flow_model(instance, 0)
    ones = solved(flow)
    assert ones is not None
    assert objective(instance, flow.solution(ones), 0) == by_milp(instance)[0]
    found = solved(flow_model(instance, level))
    assert found is not None


@pytest.mark.parametrize("seed", range(30))
def test_without_rows_its_relaxation_is_integral(seed: int) -> None:
    """The network alone: the linear optimum is the sum of the cheapest columns."""
    instance = drawn(seed)
    flow = flow_model(instance, 0)
    equal = flow.model.low == flow.model.high
    found = linprog(
        flow.model.cost,
        A_eq=matrix(flow)[np.flatnonzero(equal), :],
        b_eq=flow.model.high[equal],
        bounds=(0, 1),
        method="highs",
    )
    none = np.zeros(len(instance.capacity), dtype=np.int64)
    assert found.fun == pytest.approx(dual_bound(instance, 0, none, 1).scaled)
