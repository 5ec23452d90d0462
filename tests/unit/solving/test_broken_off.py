"""A search that is broken off: what it says of the best plan must be true all the same."""

from __future__ import annotations

import random
from collections import Counter
from typing import Any

import pytest
from ortools.sat.python import cp_model

from fitsolver.base.deadline import Clock
from fitsolver.solving import search, solve
from fitsolver.solving.problem import problem
from fitsolver.solving.solve import Solution, best
from fitsolver.solving.variables import Model
from tests.oracle.dice import THEMES, Dice
from tests.oracle.generate import draw_case

from ..rules import small

DRAWS = 350
NEW_SOLVER = search.new_solver


class BrokenOff:
    """Solvers of which only so many are left to finish; the next may stop at its first find."""

    def __init__(self, whole: int, *, one_more: bool) -> None:
        self.whole, self.one_more, self.asked = whole, one_more, 0

    def __call__(self, model: Model, seconds: float | None = None) -> cp_model.CpSolver:
        solver = NEW_SOLVER(model, seconds)
        self.asked += 1
        if self.asked == self.whole + 1 and self.one_more:
            solver.parameters.stop_after_first_solution = True
        elif self.asked > self.whole:
            solver.parameters.max_time_in_seconds = 0.0
        return solver


def test_bounds_are_bounds_wherever_the_search_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    """Narrowed to one option at first, so that widening takes part."""
    monkeypatch.setattr(solve, "_FIRST", 1)
    monkeypatch.setattr(solve, "_GROWTH", 2)
    dice = random.Random(3)
    seen: Counter[str] = Counter()
    for _ in range(DRAWS):
        theme = dice.choice(list(THEMES.values()))
        task = problem(*draw_case(theme, dice.randbytes(Dice.SIZE)))
        monkeypatch.setattr(search, "new_solver", NEW_SOLVER)
        whole = best(task)
        broken = BrokenOff(dice.randint(0, 9), one_more=dice.random() < 0.5)
        monkeypatch.setattr(search, "new_solver", broken)
        seen[_compared(best(task), whole)] += 1
    assert min(seen[kind] for kind in ("none", "undecided", "proven", "found")) >= 3


def _compared(part: Solution, whole: Solution) -> str:
    if part.selection is None:
        assert whole.selection is None or not part.settled
        return "undecided" if whole.selection is not None else "none"
    assert whole.selection is not None
    if part.proven:
        assert part.selection == whole.selection
    values = {item.level: item.value for item in whole.levels}
    as_good = True  # so far: a later level only counts among plans that are equally good before
    for item in part.levels:
        if as_good:
            assert item.bound <= values[item.level] <= item.value
        if item.proven:
            assert as_good
            assert item.value == item.bound == values[item.level]
        same = item.proven if item.level == "part_number" else item.value == values[item.level]
        as_good = as_good and same
    return "proven" if part.proven else "found"


def test_a_first_plan_stands_when_the_wider_look_runs_out_of_time(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The smaller look finds a plan beyond its limit; no time is left to look up to there.

    Clean-up asks for less than the ring does, whose gap is to be 0.14 mm: P is honed further
    than the first option by itself would come to.
    """
    monkeypatch.setattr(solve, "_FIRST", 1)
    looked: list[int | None] = []
    within = solve._best_within

    def short(*asked: Any) -> Solution:
        looked.append(asked[-1])
        if len(looked) == 2:
            return Solution(None, (), settled=False)
        return within(*asked)

    monkeypatch.setattr(solve, "_best_within", short)
    far = small.part(small.RING, gap=small.Range(low=10_000, high=10_000), file_most=0)
    window = small.Window(fit="end_gap", low=14_000, high=60_000)
    other = small.part(small.HONE, name="rough", min_cut=800)
    task = problem(
        small.job(window, routes=("hone", "rough")),
        small.catalogue(rings=(far,), routes=(small.HONE, other)),
    )
    found = best(task)
    assert len(looked) == 2
    assert found.selection is not None
    assert not found.proven
    [largest] = [item for item in found.levels if item.level == "largest_removal"]
    assert largest.bound == looked[0]
    assert largest.value > largest.bound


def test_without_any_time_nothing_is_claimed() -> None:
    found = best(problem(small.job(), small.catalogue()), Clock(limit=0.0))
    assert found.selection is None
    assert not found.settled
