"""Rings are asked of each rule by their figures: one that is left out would pass for another."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fitsolver.choices.parts import RingCandidate
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Ring
from fitsolver.records.rules import LIMITS, Limit
from fitsolver.solving.problem import problem
from tests.unit.rules import small

#: What no rule on a ring asks: how it is bought, and what hot fits are figured from; `grooves` is
#: asked of every ring by itself, `gap` of the candidate.
NO_FIGURES = {"number", "price", "stock", "lead_days", "least_order", "alloy", "grooves", "gap"}
#: Fields of a candidate that no rule on a ring asks; `part` is asked by its own fields.
OF_NO_RULE = {"part", "piece", "only_in"}
RING = RingCandidate(small.RING, small.RING.gap, small.RING.gauge_diameter)


def other(value: object) -> object:
    if isinstance(value, Range):
        return Range(low=value.low, high=value.high + 1)
    if isinstance(value, tuple):
        return (*value, "W")
    return int(value or 0) + 1  # type: ignore[call-overload]


@pytest.mark.parametrize("field", sorted(Ring.model_fields.keys() - NO_FIGURES))
def test_a_figure_of_a_ring_tells_it_from_others(field: str) -> None:
    part = small.part(small.RING, **{field: other(getattr(small.RING, field))})
    assert replace(RING, part=part).figures != RING.figures


@pytest.mark.parametrize("field", sorted(RingCandidate.__dataclass_fields__.keys() - OF_NO_RULE))
def test_a_figure_of_a_piece_tells_it_from_others(field: str) -> None:
    value = True if field == "kept" else other(getattr(RING, field))
    assert replace(RING, **{field: value}).figures != RING.figures


@pytest.mark.parametrize("limit", [limit for limit in LIMITS if limit.own], ids=lambda one: one.key)
def test_a_limit_of_a_cylinder_tells_its_rings_from_others(limit: Limit) -> None:
    with_its_own = small.cylinder(**{limit.key: small.HIGH + 1})
    task = small.job(cylinders=(small.CYLINDER, with_its_own.model_copy(update={"name": "2"})))
    one, other = problem(task, small.catalogue()).cylinders
    assert one.windows_key != other.windows_key
