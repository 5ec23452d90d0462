"""The shortage of a job: from a model without sizes, or from its whole model."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace

from fitsolver.allotment.component import Component
from fitsolver.allotment.forms import Brings, Form, Sources, forms
from fitsolver.allotment.prepared import Prepared
from fitsolver.allotment.supply import sold, with_stock
from fitsolver.base.deadline import Clock
from fitsolver.records.base import Level
from fitsolver.solving.shortage import (
    MUCH,
    JobShortage,
    KitsBought,
    Shortage,
    Taken,
    Way,
    WaysShortage,
    fewest_days,
)


def simple_shortage(job: Prepared, order: tuple[Level, ...], left: Mapping[str, int]) -> Shortage:
    """Return the shortage of a job whose cylinders only size, mass, kits and days couple.

    The model leaves sizes out. It holds the part combinations of each cylinder, the parts that come
    in kits or can be ordered in time, and the stock of each number.
    """
    counts = {item.number: left.get(item.number, 0) for item in sold(job.task.catalogue)}
    component = Component((job,), counts, frozenset(), (), order)
    budget = job.task.job.terms.budget
    price = None if budget is None else order.index("price")
    ways = (_way(form, price) for form in forms(job, component, Sources(component)))
    return WaysShortage(ways, counts, budget)


def whole_shortage(job: Prepared, left: Mapping[str, int]) -> Shortage:
    """Return the shortage of any job, from its whole model."""
    every = {item.number: left.get(item.number, 0) for item in sold(job.task.catalogue)}
    plenty = with_stock(job.task.catalogue, {n: count + MUCH for n, count in every.items()})
    return JobShortage(replace(job.task, catalogue=plenty), job.options, every)


def _way(form: Form, price: int | None) -> Way:
    """Return a form without its sizes; `price` is the index of the price among its levels."""
    cylinders = [
        _fewest(
            {
                Taken(each.source.hard, each.brought, 0 if price is None else each.costs[price])
                for each in some
            }
        )
        for some in form.cylinders
    ]
    kits = []
    for some in form.bought:
        brings = some[0].stands
        assert isinstance(brings, Brings)
        paid = 0 if price is None else some[1].costs[price]
        hard = bool(some[1].source.hard)
        kits.append(KitsBought(brings.number, len(some) - 1, paid, hard, brings.contents))
    return Way(cylinders, kits)


def _fewest(kinds: set[Taken]) -> list[Taken]:
    """Return the undominated kinds: without those that need and cost all that another does, and
    more.
    """
    found: list[tuple[Counter[str], Counter[str], Taken]] = []
    for kind in sorted(kinds, key=lambda k: (len(k.hard) + len(k.from_kits), k.price, k)):
        hard, brought = Counter(kind.hard), Counter(kind.from_kits)
        if not any(h <= hard and b <= brought and k.price <= kind.price for h, b, k in found):
            found.append((hard, brought, kind))
    return [kind for _, _, kind in found]


def soonest(
    job: Prepared, order: tuple[Level, ...], left: Mapping[str, int], clock: Clock, *, simple: bool
) -> int | None:
    """Return the fewest days in which the remaining stock permits a job; None if it never does.

    None also if the time runs out.
    """
    if not simple:
        later = _due(job, None)
        task = replace(later.task, catalogue=with_stock(later.task.catalogue, left))
        return fewest_days(task, job.options, clock)
    catalogue, record = job.task.catalogue, job.task.job
    leads = {0, *(item.lead_days for item in sold(catalogue) if item.lead_days is not None)}
    works = {option.route.route.days for offered in job.options for option in offered}
    in_turn = record.finishing == "piston in hand"
    days = sorted(
        {lead + work for lead in leads for work in works} if in_turn else {*leads, *works}
    )
    low, high = 0, len(days)
    while low < high and clock.left != 0:
        middle = (low + high) // 2
        told = simple_shortage(_due(job, days[middle]), order, left)
        if told.least((), clock) is None:
            low = middle + 1
        else:
            high = middle
    return days[low] if low < len(days) and clock.left != 0 else None


def _due(job: Prepared, days: int | None) -> Prepared:
    record = job.task.job
    terms = record.terms.model_copy(update={"needed_in_days": days, "needed_by": None})
    task = replace(job.task, job=record.model_copy(update={"terms": terms}))
    return replace(job, task=task)
