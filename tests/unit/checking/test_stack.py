"""The check sees every wrong figure of port timing and compression ratio."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitsolver.checking.check import violations
from fitsolver.records.base import Range
from fitsolver.records.job import Engine, Job
from fitsolver.records.plan import Plan, StackEffect

from ..planning.test_stack import BEFORE, ENGINE, PORT, parts_of, task_of
from ..rules import small

PARTS = parts_of()


def planned(task: Job) -> Plan:
    return small.holds(task, PARTS)


def wrong(task: Job, plan: Plan, stack: StackEffect | None) -> bool:
    [item] = plan.cylinders
    other = plan.model_copy(update={"cylinders": (item.model_copy(update={"stack": stack}),)})
    return any(sentence.startswith("stack: ") for sentence in violations(task, PARTS, other))


def said(plan: Plan) -> StackEffect:
    found = plan.cylinders[0].stack
    assert found is not None
    return found


@pytest.mark.parametrize("by", [-1, 1])
@pytest.mark.parametrize("field", ["least", "most", "before", "shift_least", "shift_most"])
def test_a_wrong_angle(field: str, by: int) -> None:
    task = task_of()
    plan = planned(task)
    [port] = said(plan).ports
    moved = port.model_copy(update={field: getattr(port, field) + by})
    assert wrong(task, plan, said(plan).model_copy(update={"ports": (moved,)}))
    gone = port.model_copy(update={field: None})
    if field not in ("least", "most"):
        assert wrong(task, plan, said(plan).model_copy(update={"ports": (gone,)}))


@pytest.mark.parametrize("by", [-1, 1])
@pytest.mark.parametrize("field", ["least", "most", "least_before", "most_before"])
def test_a_wrong_ratio(field: str, by: int) -> None:
    task = task_of()
    plan = planned(task)
    ratio = said(plan).ratio
    assert ratio is not None
    moved = ratio.model_copy(update={field: getattr(ratio, field) + by})
    assert wrong(task, plan, said(plan).model_copy(update={"ratio": moved}))


@pytest.mark.parametrize(
    "update",
    [
        {"deck": Range(low=44_000, high=46_001)},
        {"deck": Range(low=43_999, high=46_000)},
        {"deck_before": 40_001},
        {"deck_before": None},
        {"ports": ()},
        {"ratio": None},
    ],
)
def test_a_wrong_or_missing_part(update: dict[str, Any]) -> None:
    task = task_of()
    plan = planned(task)
    assert not wrong(task, plan, said(plan))
    assert wrong(task, plan, said(plan).model_copy(update=update))


def test_said_without_ground_or_not_said() -> None:
    task = task_of()
    plan = planned(task)
    assert wrong(task, plan, None)
    bare = task_of(base=None)
    assert planned(bare).cylinders[0].stack is None
    assert wrong(bare, planned(bare), said(plan))
    no_facts = task_of(
        engine=ENGINE.model_copy(update={"rod_length": None, "chamber_volume": None})
    )
    assert wrong(no_facts, planned(no_facts), said(plan))


def test_a_port_that_the_crown_does_not_pass() -> None:
    beyond = PORT.model_copy(update={"top": 5_900_000, "bottom": 6_000_000})
    task = task_of(ports=(beyond,))
    plan = planned(task)
    extra = said(planned(task_of())).ports
    assert wrong(task, plan, said(plan).model_copy(update={"ports": extra}))


@settings(max_examples=40, deadline=None)
@given(
    stroke=st.integers(2_000_000, 20_000_000),
    per=st.floats(0.51, 4),
    top=st.integers(0, 12_000_000),
    before=st.integers(-500_000, 9_000_000),
    chamber=st.integers(10**17, 10**20),
)
def test_plan_and_check_agree(stroke: int, per: float, top: int, before: int, chamber: int) -> None:
    """`planned` holds every plan against the check."""
    engine = Engine(stroke=stroke, rod_length=round(stroke * per), chamber_volume=chamber)
    base = BEFORE.model_copy(update={"deck_before": before})
    for edge in (top, 46_000, 44_000 + stroke, max(before, 0)):
        port = PORT.model_copy(update={"top": edge, "bottom": 30_000_000, "decides": True})
        planned(task_of(engine=engine, base=base, ports=(port,)))


def test_old_parts_with_the_crown_beyond_the_port() -> None:
    """The old crown stood below the port's edge: there is no old opening to shift from."""
    base = BEFORE.model_copy(update={"deck_before": 3_500_000})
    [port] = said(planned(task_of(base=base))).ports
    assert (port.before, port.shift_least, port.shift_most) == (None, None, None)
