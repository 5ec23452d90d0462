"""What a minimum says of itself when the time is over, and of levels without costs."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

import pytest

from fitsolver.base.deadline import Clock
from fitsolver.mip.instance import feasible, objective
from fitsolver.mip.lexicographic import minimum
from tests.oracle.test_mip_equals_milp import by_milp, draw

NAMES = ("left out", "cost", "more")


@dataclass(slots=True)
class Looks(Clock):
    """A clock whose time is over after so many looks at it."""

    looks: int = 0

    @property
    def left(self) -> float | None:  # type: ignore[override]
        self.looks -= 1
        return 0.0 if self.looks < 0 else None


@pytest.mark.parametrize("looks", [0, 1, 3, 6, 10, 20, 40])
@pytest.mark.parametrize("seed", range(8))
def test_ended_early_it_has_a_solution_and_true_bounds(seed: int, looks: int) -> None:
    instance, start = draw(Random(seed))
    found = minimum(instance, start, Looks(looks=looks), NAMES)
    mine = {column.job: column for column in found.columns}
    assert feasible(instance, mine)
    assert found.values == tuple(objective(instance, mine, level) for level in range(3))
    least = by_milp(instance)
    assert list(found.values) >= least
    for at, (value, bound) in enumerate(zip(found.values, found.bounds, strict=True)):
        if bound is None:
            break
        assert bound <= least[at] <= value or found.values[:at] != tuple(least[:at])
        if bound < value:
            assert found.bounds[at + 1 :] == (None,) * (len(NAMES) - at - 1)
            break


def test_the_start_is_the_answer_without_time() -> None:
    instance, start = draw(Random(5))
    found = minimum(instance, start, Clock(0.0), NAMES)
    assert {column.job: column for column in found.columns} == start or found.proven


def test_a_level_without_costs_is_proven_at_once() -> None:
    instance, start = draw(Random(4))
    instance.costs[:, 1] = 0
    found = minimum(instance, start, Clock(None), NAMES)
    assert found.proven
    assert found.bounds[1] == 0
    assert list(found.values) == by_milp(instance)
