"""A component of separable jobs as a pool: one taker a job, one way a form and largest removal.

The days are settled last of all, in a second pool of what the first one leaves.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from fitsolver.allotment.combinations import Combination, separable
from fitsolver.allotment.component import Component
from fitsolver.allotment.forms import Brings, Candidate, Form
from fitsolver.allotment.pool import Choice, Items, Pool, pool_of
from fitsolver.allotment.prepare import Prepared
from fitsolver.records.base import Level
from fitsolver.records.catalogue import Kit
from fitsolver.selection import Selection


class Way(NamedTuple):
    """How a job is served: a form, and a largest removal (ticks). No form: it is left out."""

    form: Form | None
    largest: int


@dataclass(frozen=True, slots=True)
class Ways:
    """The pool, what its ways and items stand for, and the choice that leaves a job out.

    `candidates` has None for an item that stands for a way as a whole.
    """

    component: Component
    pool: Pool
    ways: Sequence[Way]
    candidates: Sequence[Candidate | None]
    left_out: Mapping[int, Choice]
    widest: Mapping[int, Sequence[int]] = field(repr=False)


def ways_of(component: Component, jobs: Mapping[str, Sequence[Form]]) -> Ways:
    """Return the pool of a component; `jobs` holds the forms of each."""
    levels = len(component.serving) + len(component.order)
    row = {number: index for index, number in enumerate(component.contested)}
    capacity = list(component.contested.values())
    before = (0,) * len(component.serving)
    items = Items()
    candidates: list[Candidate | None] = []
    takers: list[list[list[tuple[int, int]]]] = []
    ways: list[Way] = []
    widest: dict[int, list[int]] = {}
    left_out: dict[int, Choice] = {}
    largest_at = len(before) + component.order.index("largest_removal")

    def add(
        costs: Sequence[int], candidate: Candidate | None, takes: Iterable[tuple[int, int]] = ()
    ) -> int:
        candidates.append(candidate)
        return items.add(costs, takes)

    for taker, job in enumerate(component.jobs):
        mine: list[list[tuple[int, int]]] = []
        own_rows = _OwnRows(job, jobs[job.name], component.order, capacity)
        for form in jobs[job.name]:
            starts = []
            for some in (*form.cylinders, *form.kits):
                starts.append(len(items))
                for each in some:
                    takes = [(row[n], much) for n, much in Counter(each.source.hard).items()]
                    add((*before, *each.costs), each, takes + own_rows.takes(form, each))
            kits = [
                (start, start + len(some))
                for start, some in zip(starts[len(form.cylinders) :], form.kits, strict=True)
            ]
            removals = [[each.removal for each in some] for some in form.cylinders]
            least = max(some[0] for some in removals)
            for largest in sorted({r for some in removals for r in some if r >= least}):
                own = [0] * levels
                own[largest_at] = largest
                at = add(own, None, own_rows.short(form))
                spans = [
                    (start, start + bisect_right(some, largest))
                    for start, some in zip(starts[: len(removals)], removals, strict=True)
                ]
                mine.append([(at, at + 1), *spans, *kits])
                ways.append(Way(form, largest))
            widest.setdefault(taker, []).append(len(ways) - 1)
        out = [int(level.counts(job.entry)) for level in component.serving]
        at = add((*out, *[0] * len(component.order)), None)
        left_out[taker] = Choice(taker, len(ways), (at,))
        mine.append([(at, at + 1)])
        ways.append(Way(None, 0))
        takers.append(mine)
    pool = pool_of(takers, items, capacity, levels)
    return Ways(component, pool, ways, candidates, left_out, widest)


class _OwnRows:
    """Rows of one job: its budget, and one for each number that comes in kits.

    No more is used of such a number than is bought in kits. Of its row the parts used take one
    each, and each kit takes what it would bring were there more of it: so they come to no more
    than all the kits that may be bought would bring.
    """

    def __init__(
        self, job: Prepared, forms: Sequence[Form], order: Sequence[Level], capacity: list[int]
    ) -> None:
        self.price = order.index("price")
        self.budget = None
        if job.task.job.terms.budget is not None and separable(job, order):
            self.budget = len(capacity)
            capacity.append(job.task.job.terms.budget)
        self.most = {id(form): _brought(form) for form in forms}
        every: Counter[str] = Counter()
        for most in self.most.values():
            every |= most
        self.row = {number: len(capacity) + at for at, number in enumerate(sorted(every))}
        self.every = every
        capacity += [every[number] for number in sorted(every)]

    def takes(self, form: Form, each: Candidate) -> list[tuple[int, int]]:
        paid = [] if self.budget is None else [(self.budget, each.costs[self.price])]
        if not isinstance(each.stands, Brings):
            return paid + [(self.row[n], much) for n, much in Counter(each.brought).items()]
        kit, count = each.stands
        useful = next(len(some) - 1 for some in form.kits if _kit_of(some) is kit)
        found = ((self.row[i.number], i.count * (useful - count)) for i in kit.contents)
        return [(row, much) for row, much in (*paid, *found) if much]

    def short(self, form: Form) -> list[tuple[int, int]]:
        """Return by how much less the kits of this form bring than those of any other may."""
        most = self.most[id(form)]
        found = ((self.row[n], much - most[n]) for n, much in self.every.items())
        return [(row, much) for row, much in found if much]


def _brought(form: Form) -> Counter[str]:
    found: Counter[str] = Counter()
    for some in form.kits:
        for item in _kit_of(some).contents:
            found[item.number] += item.count * (len(some) - 1)
    return found


def _kit_of(some: Sequence[Candidate]) -> Kit:
    brings = some[0].stands
    assert isinstance(brings, Brings)
    return brings.kit


def greedy(whole: Ways) -> dict[int, Choice]:
    """Return a solution: job by job the best that is left, in the order of serving."""
    pool, left = whole.pool, np.append(whole.pool.capacity, 0)
    found = {}
    for taker, out in whole.left_out.items():
        best = min(
            (
                told
                for way in whole.widest.get(taker, ())
                for kits_first in (True, False)
                if (told := _greedy_way(pool, way, taker, left.copy(), kits_first=kits_first))
            ),
            default=((), out),
        )[1]
        for item in best.items:
            np.subtract.at(left, pool.rows[item], pool.takes[item])
        found[taker] = best
    return found


def _greedy_way(
    pool: Pool,
    way: int,
    taker: int,
    left: np.ndarray[tuple[int], np.dtype[np.int64]],
    *,
    kits_first: bool,
) -> tuple[tuple[int, ...], Choice] | None:
    """Return the best choice found, place by place; with kits first as few of them as can be."""
    items: dict[int, int] = {}
    total = np.zeros(pool.costs.shape[1], dtype=np.int64)
    places = range(int(pool.way_places[way]), int(pool.way_places[way + 1]))
    for place in reversed(places) if kits_first else places:
        first, last = int(pool.first[place]), int(pool.last[place])
        free = np.flatnonzero((pool.takes[first:last] <= left[pool.rows[first:last]]).all(axis=1))
        if not len(free):
            return None
        item = first + min(free.tolist(), key=lambda at: tuple(pool.costs[first + at].tolist()))
        np.subtract.at(left, pool.rows[item], pool.takes[item])
        if (left[:-1] < 0).any():
            return None
        total += pool.costs[item]
        items[place] = item
    return tuple(total.tolist()), Choice(taker, way, tuple(items[place] for place in places))


def seed(whole: Ways, before: Mapping[str, Selection]) -> list[Choice]:
    """Return the choices of the pool that stand for what jobs took before."""
    names = {job.name: taker for taker, job in enumerate(whole.component.jobs)}
    found = []
    for name, chosen in before.items():
        for way in whole.widest.get(names.get(name, -1), ()):
            choice = _seed(whole, names[name], way, chosen)
            if choice is not None:
                found.append(choice)
                break
    return found


def _seed(whole: Ways, taker: int, widest: int, chosen: Selection) -> Choice | None:
    """Return a choice without kits as that of a pool; None where it is not among its items."""
    pool = whole.pool
    places = range(int(pool.way_places[widest]) + 1, int(pool.way_places[widest + 1]))
    if chosen.kits or len(places) < len(chosen.cylinders):
        return None
    items = []
    for at, place in enumerate(places):
        item = _same(whole, range(int(pool.first[place]), int(pool.last[place])), chosen, at)
        if item is None:
            return None
        items.append(item)
    return _narrowest(whole, taker, widest, items)


def _same(whole: Ways, place: range, chosen: Selection, at: int) -> int | None:
    """Return the item of a place that stands for what was chosen there; for kits, none of them."""
    for item in place:
        candidate = whole.candidates[item]
        assert candidate is not None
        same = candidate.stands
        if isinstance(same, Brings):
            return item
        if not isinstance(same, Combination) or at >= len(chosen.cylinders):
            return None
        cylinder = chosen.cylinders[at]
        rings = {groove: ring.candidate.key for groove, ring in cylinder.rings.items()}
        if same.key == cylinder.option.key and same.rings == rings and not candidate.brought:
            return item
    return None


def _narrowest(whole: Ways, taker: int, widest: int, items: Sequence[int]) -> Choice:
    """Return the choice in the way with the least largest removal that holds the items."""
    largest = max(c.removal for item in items if (c := whole.candidates[item]))
    way = widest
    while way and whole.ways[way - 1].form is whole.ways[widest].form:
        if whole.ways[way - 1].largest < largest:
            break
        way -= 1
    own = int(whole.pool.first[int(whole.pool.way_places[way])])
    return Choice(taker, way, (own, *items))


def narrowed(whole: Ways, choices: Mapping[int, Choice]) -> dict[int, Choice]:
    """Return choices with the largest removal that their items come to."""
    return {
        taker: _narrowest(whole, taker, choice.way, choice.items[1:])
        if whole.ways[choice.way].form is not None
        else choice
        for taker, choice in choices.items()
    }
