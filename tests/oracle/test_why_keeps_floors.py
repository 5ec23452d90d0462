"""No change that is suggested goes below what physics forbids, on drawn jobs.

The floors are read off docs/decision.md: a clearance of 0, a side clearance of 0, an end gap and a
squish of one tick.
"""

from __future__ import annotations

import re
from collections import Counter
from decimal import Decimal
from random import Random

import pytest

from fitsolver.explain.nearest import nearest
from fitsolver.explain.why import changes_of, conflicts
from fitsolver.records.job import Job
from fitsolver.records.windows import Window
from fitsolver.solving.possible import possible
from fitsolver.solving.problem import problem
from fitsolver.usecases.why import reasons

from .dice import THEMES, Dice
from .generate import draw_case

LEAST = {"clearance": 0, "side_clearance": 0, "end_gap": 1, "squish": 1}
LOWEST = re.compile(
    r"lowest (clearance|side clearance|end gap|squish)(?: of groove \d)? (-?[\d.]+)( mm| in|)"
)


def lowered(before: Window, after: Window) -> list[tuple[str, int]]:
    """The lowest edges that a change moved down, by fit."""
    pairs = (before.low, after.low), (before.service_low, after.service_low)
    given = [(old, new) for old, new in pairs if old is not None and new is not None]
    return [(after.fit, new) for old, new in given if new < old]


def changed(before: Job, after: Job) -> list[tuple[str, int]]:
    """The lowest edges that a change of a job with one cylinder moved down.

    A changed cylinder has all windows that held for it as its own, in the same order.
    """
    [was], [cylinder] = before.cylinders, after.cylinders
    pairs = zip(before.windows_for(was), cylinder.windows, strict=False)
    return [each for pair in pairs for each in lowered(*pair)]


@pytest.mark.parametrize("theme", ["rings", "finish", "gaskets", "everything"])
def test_no_edge_is_moved_below_its_floor(theme: str) -> None:
    dice, seen = Random(f"why over {theme}"), Counter[str]()
    for _ in range(250):
        job, parts = draw_case(THEMES[theme], dice.randbytes(Dice.SIZE))
        task = problem(job, parts)
        if possible(task):
            continue
        for found in conflicts(task):
            if not found.cylinder:
                continue
            near = nearest(found.single.cylinders[0], found.single.shelf.rings)
            for change in changes_of(found, near):
                after = change.make(found.single.job, parts)[0]
                for fit, edge in changed(found.single.job, after):
                    seen[fit] += 1
                    assert edge >= LEAST.get(fit, edge), change.sentence
    assert seen["clearance"] + seen["end_gap"] + seen["side_clearance"] + seen["squish"] >= 5


@pytest.mark.parametrize("theme", ["rings", "finish", "gaskets", "everything"])
def test_no_figure_that_is_named_lies_below_its_floor(theme: str) -> None:
    dice, seen = Random(f"what is named over {theme}"), 0
    for _ in range(120):
        job, parts = draw_case(THEMES[theme], dice.randbytes(Dice.SIZE))
        for opening in reasons(job, parts).openings:
            for _, figure, _ in LOWEST.findall(opening.sentence):
                seen += 1
                assert Decimal(figure) >= 0, opening.sentence
    assert seen >= 1
