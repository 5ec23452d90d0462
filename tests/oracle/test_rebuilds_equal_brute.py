"""Rebuilds left, anywhere in what is best, against the brute force that follows every chain."""

from __future__ import annotations

import random
from collections import Counter

import pytest

from fitsolver.picking.decide import decide
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job

from .brute import best_plan
from .brute_cylinder import TooManyError
from .dice import THEMES, Dice
from .generate_rebuilds import draw_counted
from .test_solver_equals_brute import compare_plan

#: Jobs a theme; few of the largest scale, whose finish sizes are many.
DRAWS = {name: 4 if name == "timing" else 50 for name in THEMES}


def compared(job: Job, catalogue: Catalogue) -> str:
    """Hold the answer against the brute force; say what kind of case it was."""
    try:
        best = best_plan(job, catalogue)
    except TooManyError:
        return "too many"
    answer = decide(job, catalogue)
    assert (answer.plan is None) == (best is None)
    if best is None or answer.plan is None:
        return "nothing fits"
    compare_plan(answer, best)
    left = [option.left for option in best.cylinders]
    assert answer.plan.rebuilds_left == min(left)
    usual = [level for level in job.best if level != "rebuilds_left"]
    other = decide(job.model_copy(update={"best": tuple(usual)}), catalogue).plan
    assert other is not None
    same = other.cylinders == answer.plan.cylinders
    return f"{'none' if min(left) == 0 else 'some'} left, {'as' if same else 'not as'} without"


@pytest.mark.parametrize("name", DRAWS)
def test_the_best_plan_where_rebuilds_count(name: str) -> None:
    dice = random.Random(f"rebuilds {name}")
    for _ in range(DRAWS[name]):
        compared(*draw_counted(THEMES[name], dice.randbytes(Dice.SIZE)))


def test_the_draws_are_worth_it() -> None:
    """Rebuilds left and none left, and picks that are others than where rebuilds do not count."""
    dice, seen = random.Random("worth"), Counter[str]()
    for _ in range(100):
        seen[compared(*draw_counted(THEMES["rings"], dice.randbytes(Dice.SIZE)))] += 1
    assert seen["some left, as without"] >= 10
    assert seen["some left, not as without"] >= 3
    assert seen["none left, as without"] >= 3
    assert seen["too many"] <= 20


def test_narrowed_by_removal(monkeypatch: pytest.MonkeyPatch) -> None:
    """Removal first: a first model of one option makes narrowing take part."""
    monkeypatch.setattr("fitsolver.solving.solve._FIRST", 1)
    monkeypatch.setattr("fitsolver.solving.solve._GROWTH", 2)
    dice = random.Random("narrowed")
    for _ in range(60):
        job, catalogue = draw_counted(THEMES["finish"], dice.randbytes(Dice.SIZE))
        best = ("restored", "largest_removal", "rebuilds_left")
        compared(job.model_copy(update={"best": best}), catalogue)
