"""The counter held against `pick` on the equal job written out, and against screening."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from fitsolver import InputError, counter, load, pick
from fitsolver.records.counter import CounterAnswer, CounterPlan
from fitsolver.records.plan import Plan
from fitsolver.screening.pattern import pattern
from fitsolver.screening.screen import Bores, Screen
from fitsolver.usecases.counter_files import equal_job

from .counter_draws import FAMILY, Question

TICKS = 100_000


def said(plan: CounterPlan | None) -> object:
    """What the counter tells of a plan."""
    if plan is None:
        return None
    cylinders = [(c.piston, c.rings, c.route, c.finish, c.removal) for c in plan.cylinders]
    return cylinders, plan.order, plan.price, plan.days


def picked(plan: Plan | None) -> object:
    """The same of a plan of `pick`."""
    if plan is None:
        return None
    cylinders = [
        (
            c.piston.number,
            tuple(r.number for r in sorted(c.rings, key=lambda r: r.groove)),
            c.route,
            c.finish_large,
            c.removal,
        )
        for c in plan.cylinders
    ]
    return cylinders, plan.order, plan.price, plan.days


def compare(question: Question, folder: Path) -> int:
    """Compare the answer and every line with `pick`; return how many verdicts were compared."""
    shelf = question.write(folder)
    try:
        expected = pick(folder / "job.toml")
    except InputError as refused:
        try:
            counter(FAMILY, *question.sizes, catalogue=shelf)
        except InputError:
            return 1
        raise AssertionError("pick refuses, the counter answers") from refused
    answer = counter(FAMILY, *question.sizes, catalogue=shelf)
    assert said(answer.advised) == picked(expected.plan)
    assert answer.status == expected.status
    assert answer.question == expected.question
    compared = 1
    for line in answer.lines:
        size = next(s for s in question.oversizes if int(s * TICKS) == line.oversize)
        only = question.write_size(folder / f"only {size}", size)
        own = pick(folder / "job.toml", only, accept=_doubted(folder / "job.toml", only)).plan
        if own is not None and answer.advised is not None and line.advised:
            assert said(line.plan) == picked(expected.plan)
        else:
            assert said(line.plan) == picked(own), (line, own)
        assert bool(line.short) == (line.plan is None)
        compared += 1
    return compared + _screened(question, shelf, answer)


def _doubted(job: Path, only: Path) -> list[str]:
    """Return the doubts of rows that come of leaving other sizes out."""
    return [row.doubt.id for row in load(job, only)[1].set_aside]


def _screened(question: Question, shelf: Path, answer: CounterAnswer) -> int:
    """Compare with screening, of one bore and where it looks at removal first."""
    if not question.screened:
        return 0
    job, parts = equal_job((FAMILY, *question.sizes), shelf, None)
    size = np.array([job.cylinders[0].readings[0].size], np.int64)
    screen = Screen(pattern(job, parts))
    found = screen.screen(Bores(size, size, np.zeros(1, np.int64)), job.cylinders[0].material)
    choice = screen.choices[int(found.choice[0])]
    if answer.advised is None:
        assert not choice.piston
        return 1
    (own,) = answer.advised.cylinders
    assert (choice.piston, choice.rings, choice.route) == (own.piston, own.rings, own.route)
    assert (int(found.finish[0]), int(found.removal[0])) == (own.finish, own.removal)
    assert (choice.price, choice.days) == (answer.advised.price, answer.advised.days)
    return 1
