"""Rebuilds left, anywhere in what is best, against the brute force that follows every chain."""

from __future__ import annotations

import random
from collections import Counter

import pytest

from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.service import decide

from .brute import best_plan
from .brute_cylinder import TooManyError
from .dice import THEMES, Dice
from .generate_rebuilds import draw_counted
from .test_solver_equals_brute import compare_plan

#: Jobs a theme.
DRAWS = 60


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


@pytest.mark.parametrize("name", THEMES)
def test_the_best_plan_with_rebuilds(name: str) -> None:
    dice = random.Random(f"rebuilds {name}")
    seen: Counter[str] = Counter()
    for _ in range(DRAWS):
        seen[compared(*draw_counted(THEMES[name], dice.randbytes(Dice.SIZE)))] += 1
    print(name, seen)
