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

from fitsolver.allotment.component import Component
from fitsolver.allotment.forms import Candidate, Form
from fitsolver.allotment.pool import Choice, Items, Pool, pool_of
from fitsolver.allotment.start import Keys


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
        for form in jobs[job.name]:
            starts = []
            for some in form.cylinders:
                starts.append(len(items))
                for each in some:
                    takes = ((row[n], much) for n, much in Counter(each.source.hard).items())
                    add((*before, *each.costs), each, takes)
            removals = [[each.removal for each in some] for some in form.cylinders]
            least = max(some[0] for some in removals)
            for largest in sorted({r for some in removals for r in some if r >= least}):
                own = [0] * levels
                own[largest_at] = largest
                at = add(own, None)
                spans = [
                    (start, start + bisect_right(some, largest))
                    for start, some in zip(starts, removals, strict=True)
                ]
                mine.append([(at, at + 1), *spans])
                ways.append(Way(form, largest))
            widest.setdefault(taker, []).append(len(ways) - 1)
        out = [int(level.counts(job.entry)) for level in component.serving]
        at = add((*out, *[0] * len(component.order)), None)
        left_out[taker] = Choice(taker, len(ways), (at,))
        mine.append([(at, at + 1)])
        ways.append(Way(None, 0))
        takers.append(mine)
    pool = pool_of(takers, items, list(component.contested.values()), levels)
    return Ways(component, pool, ways, candidates, left_out, widest)


def greedy(whole: Ways) -> dict[int, Choice]:
    """Return a solution: job by job the best that is left, in the order of serving."""
    pool, left = whole.pool, np.append(whole.pool.capacity, 0)
    found = {}
    for taker, out in whole.left_out.items():
        best = min(
            (
                (costs, choice)
                for way in whole.widest.get(taker, ())
                if (told := _greedy_way(pool, way, taker, left.copy()))
                for costs, choice in [told]
            ),
            default=((), out),
        )[1]
        for item in best.items:
            np.subtract.at(left, pool.rows[item], pool.takes[item])
        found[taker] = best
    return found


def _greedy_way(
    pool: Pool, way: int, taker: int, left: np.ndarray[tuple[int], np.dtype[np.int64]]
) -> tuple[tuple[int, ...], Choice] | None:
    items: list[int] = []
    total = np.zeros(pool.costs.shape[1], dtype=np.int64)
    for place in range(int(pool.way_places[way]), int(pool.way_places[way + 1])):
        first, last = int(pool.first[place]), int(pool.last[place])
        free = np.flatnonzero((pool.takes[first:last] <= left[pool.rows[first:last]]).all(axis=1))
        if not len(free):
            return None
        item = first + min(free.tolist(), key=lambda at: tuple(pool.costs[first + at].tolist()))
        np.subtract.at(left, pool.rows[item], pool.takes[item])
        if (left[:-1] < 0).any():
            return None
        total += pool.costs[item]
        items.append(item)
    return tuple(total.tolist()), Choice(taker, way, tuple(items))


def seed(whole: Ways, keys: Mapping[str, Keys]) -> list[Choice]:
    """Return the choices of the pool that stand for what jobs took before."""
    names = {job.name: taker for taker, job in enumerate(whole.component.jobs)}
    found = []
    for name, chosen in keys.items():
        for way in whole.widest.get(names.get(name, -1), ()):
            choice = _seed(whole, names[name], way, chosen)
            if choice is not None:
                found.append(choice)
                break
    return found


def _seed(whole: Ways, taker: int, widest: int, chosen: Keys) -> Choice | None:
    pool = whole.pool
    places = range(int(pool.way_places[widest]) + 1, int(pool.way_places[widest + 1]))
    if len(places) != len(chosen):
        return None
    items = []
    for place, keys in zip(places, chosen, strict=True):
        for item in range(int(pool.first[place]), int(pool.last[place])):
            candidate = whole.candidates[item]
            assert candidate is not None
            same = candidate.combination
            if same is None:
                return None
            if same.key == keys.option and same.rings == dict(keys.rings):
                items.append(item)
                break
        else:
            return None
    return _narrowest(whole, taker, widest, items)


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
