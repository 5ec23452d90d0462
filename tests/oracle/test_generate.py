"""Are the random jobs a useful mix? Measured on a fixed sample, so that a change shows.

A comparison over jobs that can never be done, or in which a rule never matters, proves little.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator
from functools import cache

import pytest

from fitsolver.records.base import RULES, RuleId
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job, Terms

from .brute import BrutePlan, best_plan
from .brute_cylinder import TooManyError
from .dice import THEMES, Dice
from .generate import draw_case

SAMPLE = 120  # jobs a theme


def drawn(name: str) -> Iterator[tuple[Job, Catalogue]]:
    throws = random.Random(f"mix of {name}")
    for _ in range(SAMPLE):
        yield draw_case(THEMES[name], throws.randbytes(Dice.SIZE))


@cache
def solved(name: str) -> list[tuple[Job, Catalogue, BrutePlan | None]]:
    """The sample of a theme with each job's best plan; jobs too large to try are left out."""
    found = []
    for job, catalogue in drawn(name):
        try:
            found.append((job, catalogue, best_plan(job, catalogue)))
        except TooManyError:
            continue
    return found


@pytest.mark.parametrize("name", THEMES)
def test_few_jobs_are_too_large_and_about_half_can_be_done(name: str):
    cases = solved(name)
    feasible = sum(plan is not None for _, _, plan in cases)
    assert len(cases) >= 0.9 * SAMPLE
    assert 0.30 <= feasible / len(cases) <= 0.75


def test_kinds_of_jobs_all_occur():
    """Of everything the comparison is to cover, at least some jobs that can be done have it."""
    seen: Counter[str] = Counter()
    for name in THEMES:
        for job, _, plan in solved(name):
            if plan is None:
                continue
            chosen = plan.cylinders
            seen.update((job.finishing, job.unit, f"{len(chosen)} cylinders"))
            seen.update(option.route.kind for option in chosen)
            seen.update(f"{len(option.rings)} rings" for option in chosen)
            seen["filed"] += any(option.filing for option in chosen)
            seen["stack of two"] += any(len(s) > 1 for option in chosen for s in option.stacks)
            seen["measured piece"] += any(option.pieces for option in chosen)
            seen["kit"] += any(any(split) for split in plan.purchase.kits)
            seen["ordered"] += any(source == "order" for _, source in plan.order)
            seen["per bore"] += any(w.per_bore for w in job.windows)
            seen["guarded"] += any(w.guard for w in job.windows)
            seen["negative clearance asked"] += any(
                w.fit == "clearance" and w.low is not None and w.low < 0 for w in job.windows
            )
            seen["one edge only"] += any(None in (w.low, w.high) for w in job.windows)
            seen["finished size"] += any(c.finished_size is not None for c in job.cylinders)
    wanted = {
        "piston in hand", "set size", "already finished", "mm", "in", "1 cylinders",
        "2 cylinders", "3 cylinders", "as is", "finish hone", "glaze-break", "bore and hone",
        "restore", "1 rings", "2 rings", "filed", "stack of two", "measured piece", "kit",
        "ordered", "per bore", "guarded", "finished size",
        "negative clearance asked", "one edge only",
    }  # fmt: skip
    assert {kind: seen[kind] for kind in wanted if seen[kind] < 2} == {}


@pytest.mark.parametrize("rule", RULES)
def test_every_rule_binds(rule: RuleId):
    """Leaving the rule out changes what is best in at least two jobs of the sample."""
    bound = 0
    for name in THEMES:
        for job, catalogue, plan in solved(name):
            bound += _differs(plan, job, catalogue, rule)
            if bound >= 2:
                return
    pytest.fail(f"'{rule}' made a difference in {bound} jobs")


FLOORS: tuple[RuleId, ...] = ("clearance", "end_gap", "side_clearance", "squish")


@pytest.mark.parametrize("rule", FLOORS)
def test_every_floor_binds(rule: RuleId):
    """Without any window on the fit, its floor alone changes what is best."""
    bound = 0
    for name in THEMES:
        for job, catalogue, _ in solved(name):
            open_job = _without_windows(job, rule)
            try:
                plan = best_plan(open_job, catalogue)
            except TooManyError:
                continue
            bound += _differs(plan, open_job, catalogue, rule)
            if bound >= 5:
                return
    pytest.fail(f"the floor of '{rule}' made a difference in {bound} jobs")


def _without_windows(job: Job, fit: str) -> Job:
    cylinders = tuple(
        cylinder.model_copy(update={"windows": tuple(w for w in cylinder.windows if w.fit != fit)})
        for cylinder in job.cylinders
    )
    windows = tuple(window for window in job.windows if window.fit != fit)
    return job.model_copy(update={"windows": windows, "cylinders": cylinders})


def _differs(plan: BrutePlan | None, job: Job, catalogue: Catalogue, rule: RuleId) -> bool:
    try:
        if rule == "availability":
            free = best_plan(job.model_copy(update={"terms": Terms()}), plentiful(catalogue))
        else:
            free = best_plan(job, catalogue, frozenset({rule}))
    except TooManyError:
        return False
    if plan is None or free is None:
        return (plan is None) != (free is None)
    return plan.levels != free.levels


def plentiful(catalogue: Catalogue) -> Catalogue:
    """The catalogue with every part on the shelf, at its price."""
    tables = {
        name: tuple(
            part.model_copy(update={"price": part.price or 0, "stock": 99})
            for part in getattr(catalogue, name)
        )
        for name in ("pistons", "rings", "gaskets")
    }
    return catalogue.model_copy(update=tables)
