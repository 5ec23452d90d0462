"""The totals of a shop: every level summed over the jobs, with bounds; and its orders."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby

from fitsolver.allotment.component import Component
from fitsolver.allotment.result import Result
from fitsolver.allotment.serving import Served, serving_levels
from fitsolver.base.errors import CheckError
from fitsolver.records.allotment import JobAllotment, ServingLevel, ShopJob
from fitsolver.records.base import Level
from fitsolver.records.plan import ObjectiveValue, OrderLine, Plan

_KINDS = ("kit", "piston", "ring", "gasket")


def sums(
    parts: Sequence[Component],
    results: Sequence[Result],
    jobs: Iterable[JobAllotment],
    serving: Sequence[Served],
    order: Sequence[Level],
    unseen: Sequence[ShopJob] = (),
) -> tuple[tuple[ServingLevel, ...], tuple[ObjectiveValue, ...]]:
    """Return the value of every level, summed over the shop's plans, with the proven bounds.

    `unseen` are jobs left out that the time did not reach. Raises CheckError if the plans of a
    proven component sum to other values.
    """
    told = {item.job: item for item in jobs}
    values: list[int] = [0] * (len(serving) + len(order))
    bounds: list[int | None] = [0] * len(values)
    for entry in unseen:
        for at, served in enumerate(serving):
            values[at] += served.counts(entry)
    for part, result in zip(parts, results, strict=True):
        mine = [told[job.name] for job in part.jobs]
        found, can_not = _values(part, mine, serving, order)
        proven = _bounds(part, result, found, serving, order, can_not)
        for at, (value, bound) in enumerate(zip(found, proven, strict=True)):
            values[at] += value
            so_far = bounds[at]
            bounds[at] = None if so_far is None or bound is None else so_far + bound
    able = [job.entry for part in parts for job in part.jobs if _able(told[job.name])]
    able += unseen
    shown = set(serving_levels(able))
    whole = True
    levels: list[ServingLevel] = []
    objective: list[ObjectiveValue] = []
    for at, value in enumerate(values):
        bound = bounds[at] if whole else 0
        bound = 0 if bound is None else min(bound, value)
        whole = whole and bounds[at] is not None and bound == value
        if at >= len(serving):
            level = order[at - len(serving)]
            objective.append(ObjectiveValue(level=level, value=value, bound=bound, proven=whole))
        elif serving[at] in shown:
            levels.append(
                ServingLevel(
                    priority=serving[at].priority,
                    due=serving[at].due,
                    jobs=sum(map(serving[at].counts, able)),
                    value=value,
                    bound=bound,
                    proven=whole,
                )
            )
    return tuple(levels), tuple(objective)


def _able(item: JobAllotment) -> bool:
    return item.status != "can never be served"


def _values(
    part: Component, mine: Sequence[JobAllotment], serving: Sequence[Served], order: Sequence[Level]
) -> tuple[list[int], list[int]]:
    """Return the values of a component by level, and its jobs that can never be served."""
    by_name = {item.job: item for item in mine}
    out, never = [], []
    for level in serving:
        counted = [by_name[job.name].status for job in part.jobs if level.counts(job.entry)]
        out.append(counted.count("left out"))
        never.append(counted.count("can never be served"))
    plans = [item.answer.plan for item in mine if item.answer is not None and item.answer.plan]
    return [*out, *(sum(_value(plan, level) for plan in plans) for level in order)], never


def _value(plan: Plan, level: Level) -> int:
    return next(item.value for item in plan.objective if item.level == level)


def _bounds(
    part: Component,
    result: Result,
    found: Sequence[int],
    serving: Sequence[Served],
    order: Sequence[Level],
    never: Sequence[int],
) -> list[int | None]:
    """Return the proven bounds of a component, by level of the shop."""
    own: Mapping[Served, int | None] = dict(zip(part.serving, result.bounds, strict=False))
    bounds: list[int | None] = []
    for at, level in enumerate(serving):
        bound = own.get(level, 0)
        bounds.append(None if bound is None else max(0, bound - never[at]))
    rest = result.bounds[len(part.serving) :]
    bounds += [*rest, *[None] * (len(order) - len(rest))]
    if result.proven and bounds != list(found):
        raise CheckError(f"the plans come to {found}, proven was {bounds}; nothing is shown")
    return bounds


def orders(jobs: Iterable[JobAllotment]) -> tuple[OrderLine, ...]:
    """Return the parts of all plans, by kind, number, source and price."""
    lines = [
        line
        for item in jobs
        if item.answer is not None and item.answer.plan is not None
        for line in item.answer.plan.order
    ]

    def key(line: OrderLine) -> tuple[int, str, str, int, int]:
        return _KINDS.index(line.what), line.number, line.source, line.price_each, line.days

    found = []
    for _, group in groupby(sorted(lines, key=key), key=key):
        same = list(group)
        found.append(
            same[0].model_copy(
                update={
                    "count": sum(line.count for line in same),
                    "price": sum(line.price for line in same),
                }
            )
        )
    return tuple(found)
