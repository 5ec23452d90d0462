"""A component of separable jobs as a pool: one taker a job, one way a form and largest removal.

The days are settled last of all, in a second pool of what the first one leaves.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from fitsolver.allotment.combinations import Combination, separable
from fitsolver.allotment.component import Component
from fitsolver.allotment.forms import Brings, Candidate, Form, within
from fitsolver.allotment.pool import Choice, Ints, Items, Pool, pool_of
from fitsolver.allotment.prepare import Prepared
from fitsolver.choices.selection import Bought, Selection
from fitsolver.records.base import Level


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
        forms = [within(form, component.contested) for form in jobs[job.name]]
        own_rows = _OwnRows(job, forms, component.order, capacity)
        for form in forms:
            starts = []
            for some in (*form.cylinders, *form.bought):
                starts.append(len(items))
                for each in some:
                    takes = [(row[n], much) for n, much in Counter(each.source.hard).items()]
                    add((*before, *each.costs), each, takes + own_rows.takes(form, each))
            bought = [
                (start, start + len(some))
                for start, some in zip(starts[len(form.cylinders) :], form.bought, strict=True)
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
                mine.append([(at, at + 1), *spans, *bought])
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

    No more is used of such a number than is bought in kits and singly. Of its row the parts used
    take one each, and each piece not bought takes what it would bring: so they come to no more
    than all the pieces that may be bought would bring.
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
        bought = each.stands
        most = next(len(some) - 1 for some in form.bought if _bought(some).number == bought.number)
        found = ((self.row[n], count * (most - bought.pieces)) for n, count in bought.contents)
        return [(row, much) for row, much in (*paid, *found) if much]

    def short(self, form: Form) -> list[tuple[int, int]]:
        """Return by how much less is bought in this form than may be in any other."""
        most = self.most[id(form)]
        found = ((self.row[n], much - most[n]) for n, much in self.every.items())
        return [(row, much) for row, much in found if much]


def _brought(form: Form) -> Counter[str]:
    found: Counter[str] = Counter()
    for some in form.bought:
        for number, count in _bought(some).contents:
            found[number] += count * (len(some) - 1)
    return found


def _bought(some: Sequence[Candidate]) -> Brings:
    brings = some[0].stands
    assert isinstance(brings, Brings)
    return brings


def greedy(whole: Ways) -> dict[int, Choice]:
    """Return a solution: job by job the best that is left, in the order of serving."""
    pool, left = whole.pool, np.append(whole.pool.capacity, 0)
    found = {}
    for taker, out in whole.left_out.items():
        best = min(
            (told for way in whole.widest.get(taker, ()) for told in _greedy(whole, way, left)),
            default=((), out),
        )[1]
        for item in best.items:
            np.subtract.at(left, pool.rows[item], pool.takes[item])
        found[taker] = best
    return found


_Told = tuple[tuple[int, ...], Choice]


def _greedy(whole: Ways, way: int, left: Ints) -> Iterator[_Told]:
    """Yield good choices of a way by what they cost: kits rather than single parts, or not."""
    pool = whole.pool
    places = list(range(int(pool.way_places[way]), int(pool.way_places[way + 1])))
    bought = [p for p in places if _is_bought(whole.candidates[int(pool.first[p])])]
    for order in (bought, bought[::-1]) if bought else (bought,):
        # With a budget not all can be bought at first.
        for before in (order, []) if bought else ([],):
            told = _Greedy(pool, left.copy()).run(before, places[: -len(bought) or None], order)
            if told is not None:
                items, total = told
                choice = Choice(int(pool.way_taker[way]), way, tuple(items[p] for p in places))
                yield total, choice
                break


def _is_bought(candidate: Candidate | None) -> bool:
    return candidate is not None and isinstance(candidate.stands, Brings)


class _Greedy:
    """Chooses place by place what costs least of what is left."""

    def __init__(self, pool: Pool, left: Ints) -> None:
        self.pool, self.left = pool, left
        self.items: dict[int, int] = {}

    def run(
        self, before: Sequence[int], places: Sequence[int], bought: Sequence[int]
    ) -> tuple[dict[int, int], tuple[int, ...]] | None:
        """Buy all that can be bought of `before`, then choose, then buy no more than is needed."""
        if not all(self._choose(place, most=True) for place in before):
            return None
        if not all(self._choose(place) for place in (*places, *bought)):
            return None
        return self.items, tuple(self.pool.costs[list(self.items.values())].sum(axis=0).tolist())

    def _choose(self, place: int, *, most: bool = False) -> bool:
        pool, left = self.pool, self.left
        held = self.items.get(place)
        if held is not None:
            np.add.at(left, pool.rows[held], pool.takes[held])
        first, last = int(pool.first[place]), int(pool.last[place])
        free = np.flatnonzero((pool.takes[first:last] <= left[pool.rows[first:last]]).all(axis=1))
        if not len(free):
            return False
        item = first + int(free[-1])
        if not most:
            item = first + min(free.tolist(), key=lambda at: tuple(pool.costs[first + at].tolist()))
        np.subtract.at(left, pool.rows[item], pool.takes[item])
        self.items[place] = item
        return bool((left[:-1] >= 0).all())


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
    """Return a choice as that of a pool; None where it is not among its items."""
    pool = whole.pool
    places = range(int(pool.way_places[widest]) + 1, int(pool.way_places[widest + 1]))
    if len(places) < len(chosen.cylinders):
        return None
    items = []
    for at, place in enumerate(places):
        item = _same(whole, range(int(pool.first[place]), int(pool.last[place])), chosen, at)
        if item is None:
            return None
        items.append(item)
    return _narrowest(whole, taker, widest, items)


def _same(whole: Ways, place: range, chosen: Selection, at: int) -> int | None:
    """Return the item of a place that stands for what was chosen there, or bought."""
    for item in place:
        candidate = whole.candidates[item]
        assert candidate is not None
        same = candidate.stands
        if isinstance(same, Brings):
            bought = chosen.kits if same.is_kit else chosen.singles
            some = bought.get(same.number, Bought())
            if same.pieces == some.stock + some.ordered:
                return item
            continue
        if not isinstance(same, Combination) or at >= len(chosen.cylinders):
            return None
        cylinder = chosen.cylinders[at]
        rings = {groove: ring.candidate.key for groove, ring in cylinder.rings.items()}
        if same.key == cylinder.option.key and same.rings == rings:
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
