"""The best k plans and the front against the brute force, which looks at every plan."""

from __future__ import annotations

import random
from collections import Counter
from itertools import islice
from typing import Any

import pytest

from fitsolver.base.deadline import Clock
from fitsolver.base.running import TimeOverError
from fitsolver.choices.options import options
from fitsolver.choices.rebuild_steps import most_left
from fitsolver.choices.rebuilds import ahead
from fitsolver.choices.selection import Selection
from fitsolver.metrology.measured import Measured
from fitsolver.picking.next_best import next_best
from fitsolver.planning.plan import make_plan
from fitsolver.records.plan import ObjectiveValue, Plan
from fitsolver.solving import solve
from fitsolver.solving.alternatives import ranked
from fitsolver.solving.front import axes_of, front
from fitsolver.solving.front_groups import Group, grouped
from fitsolver.solving.problem import Problem, problem

from .brute_cylinder import TooManyError
from .brute_front import Signature, front_points, ranked_plans
from .dice import THEMES, Dice
from .generate import draw_case
from .generate_rebuilds import draw_counted

DRAWS = 240
COUNTED_DRAWS = 156
AXES = ("total_removal", "price", "days")
COUNT = 7


def values_of(levels: tuple[ObjectiveValue, ...]) -> dict[str, int]:
    return {item.level: item.value for item in levels if item.level != "part_number"}


def parts_of(selection: Selection) -> Signature:
    return tuple(
        (
            chosen.option.piston.candidate.part.number,
            chosen.option.route.route.name,
            tuple(ring.candidate.part.number for _, ring in sorted(chosen.rings.items())),
            tuple(tuple(sorted(Counter(stack).elements())) for stack in chosen.stacks.values()),
        )
        for chosen in selection.cylinders
    )


def draws(seed: int) -> list[Any]:
    dice = random.Random(seed)
    names = sorted(THEMES)
    return [draw_case(THEMES[dice.choice(names)], dice.randbytes(Dice.SIZE)) for _ in range(DRAWS)]


def counted_draws(seed: int) -> list[Any]:
    """Jobs whose rebuilds count; without the theme of large scales: too many finish sizes."""
    dice = random.Random(seed)
    names = [name for name in sorted(THEMES) if name != "timing"]
    return [
        draw_counted(THEMES[dice.choice(names)], dice.randbytes(Dice.SIZE))
        for _ in range(COUNTED_DRAWS)
    ]


@pytest.mark.parametrize("first", [1, 24])
def test_best_plans_in_their_order(first: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Also narrowed to one option at first, so that looking further takes part."""
    monkeypatch.setattr(solve, "_FIRST", first)
    monkeypatch.setattr(solve, "_GROWTH", 2)
    compare_ranks(draws(11))


def test_best_plans_where_rebuilds_count() -> None:
    compare_ranks(counted_draws(14))


def compare_ranks(cases: list[Any]) -> None:
    seen: Counter[str] = Counter()
    for job, parts in cases:
        try:
            tried = ranked_plans(job, parts)
        except TooManyError:
            continue
        found = list(islice(ranked(problem(job, parts)), COUNT))
        ended = found[-1].selection is None
        plans = found[:-1] if ended else found
        assert ended == (len(tried) < COUNT)
        assert all(item.proven for item in plans)
        assert found[-1].settled
        told = [(parts_of(s.selection), values_of(s.levels)) for s in plans if s.selection]
        assert told == tried[:COUNT]
        seen["several" if len(plans) > 1 else "few"] += 1
        seen["all of them"] += ended and len(plans) > 1
    assert min(seen[kind] for kind in ("several", "few", "all of them")) >= 10


def plan_of(task: Problem, selection: Selection, levels: tuple[ObjectiveValue, ...]) -> Plan:
    return make_plan(task.job, task.catalogue, task.shelf, task.cylinders, selection, levels)


def test_front_is_the_front() -> None:
    seen: Counter[str] = Counter()
    for job, parts in draws(12):
        try:
            tried = front_points(job, parts, AXES)
        except TooManyError:
            continue
        task = problem(job, parts)
        found = front(task)
        assert found.complete
        told = [tuple(values_of(s.levels)[axis] for axis in AXES) for s in found.solutions]
        assert told == tried
        for solution, point in zip(found.solutions, tried, strict=True):
            assert solution.selection is not None
            plan = plan_of(task, solution.selection, solution.levels)
            assert (sum(c.removal for c in plan.cylinders), plan.price, plan.days) == point
        seen[f"{min(len(tried), 3)} points"] += 1
        everything = [options(cylinder) for cylinder in task.cylinders]
        seen["several sizes"] += len(list(grouped(task, everything))) > 1
    assert min(seen[f"{count} points"] for count in (1, 2, 3)) >= 5
    assert seen["several sizes"] >= 10


@pytest.mark.parametrize("drawn", [draws(12)[:80], counted_draws(13)[:60]])
def test_front_that_is_broken_off(drawn: list[Any], monkeypatch: pytest.MonkeyPatch) -> None:
    """However soon it ends: what is shown is the front's beginning, and the rest is not below."""
    seen: Counter[str] = Counter()
    found = Group._found
    for job, parts in drawn:
        task = problem(job, parts)
        axes = axes_of(task)
        whole = [tuple(values_of(s.levels).get(a, 0) for a in axes) for s in front(task).solutions]
        if len(whole) < 2 or "rebuilds_left" in {*axes} - {*job.best}:
            continue
        for searches in range(2, 30):
            ended = iter([False] * searches)

            def stopped(*given: Any, ended: Any = ended) -> Any:
                if next(ended, True):
                    raise TimeOverError
                return found(*given)

            monkeypatch.setattr(Group, "_found", stopped)
            part = front(task)
            monkeypatch.undo()
            told = [tuple(values_of(s.levels).get(a, 0) for a in axes) for s in part.solutions]
            assert told == whole[: len(told)]
            if part.open_from is None:
                assert told == whole
                break
            assert all(point[0] >= part.open_from for point in whole[len(told) :])
            seen["some of it"] += bool(told)
    assert seen["some of it"] >= 10


def test_front_with_rebuilds_left() -> None:
    """Where the wear is known: between four, whether or not the job itself counts rebuilds."""
    seen = Counter[str]()
    for index, (drawn, parts) in enumerate(counted_draws(13)):
        best = tuple(level for level in drawn.best if level != "rebuilds_left")
        job = drawn.model_copy(update={"best": best}) if index % 2 else drawn
        try:
            tried = front_points(job, parts, ("total_removal", "rebuilds_left", "price", "days"))
        except TooManyError:
            continue
        answer = next_best(Measured(job, job), parts, 1, Clock(), with_front=True)
        if answer.front is None:
            assert tried == []
            continue
        assert answer.front_complete
        most = most_left(ahead(job, parts))
        told = [(p.totals, most - (p.totals.rebuilds_left or 0)) for p in answer.front]
        assert [(t.total_removal, lost, t.price, t.days) for t, lost in told] == tried
        rest = {(point[0], *point[2:]) for point in tried}  # what is left without rebuilds
        seen["won by rebuilds"] += any(
            a != b and all(x <= y for x, y in zip(a, b, strict=True)) for a in rest for b in rest
        )
        seen[f"{min(len(tried), 3)} points"] += 1
    assert min(seen[f"{count} points"] for count in (1, 2, 3)) >= 5
    assert seen["won by rebuilds"] >= 2
