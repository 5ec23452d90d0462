"""Drawn jobs that have a plan, the same ones every time, for the figures of a plan to be held
against the solver-free check."""

from __future__ import annotations

import random
from collections.abc import Iterator

from fitsolver.planning.plan import make_plan
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Finishing, Job
from fitsolver.records.plan import Plan
from fitsolver.solving.problem import problem
from fitsolver.solving.solve import best
from tests.oracle.dice import THEMES, Dice
from tests.oracle.generate import draw_case


def planned(seed: int, draws: int, finishing: Finishing) -> Iterator[tuple[Job, Catalogue, Plan]]:
    """Yield the jobs of that finishing among so many draws that have a plan, with it."""
    dice = random.Random(seed)
    for _ in range(draws):
        theme = dice.choice(list(THEMES.values()))
        job, catalogue = draw_case(theme, dice.randbytes(Dice.SIZE))
        if job.finishing != finishing:
            continue
        task = problem(job, catalogue)
        found = best(task)
        if found.selection is not None:
            shelf, states = task.shelf, task.cylinders
            plan = make_plan(job, catalogue, shelf, states, found.selection, found.levels)
            yield job, catalogue, plan
