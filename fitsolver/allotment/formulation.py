"""A component of separable jobs as an instance: one mode a form and largest removal.

The days are the last level, minimised in a second instance on the optimal face of the first.
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
from fitsolver.allotment.prepared import Prepared
from fitsolver.choices.selection import Bought, Selection
from fitsolver.mip.instance import Column, Instance, Ints, Items, instance_of
from fitsolver.records.base import Level


class Mode(NamedTuple):
    """A form and a largest removal (ticks) with which a job is served. No form: the job is left
    out.
    """

    form: Form | None
    largest: int


@dataclass(frozen=True, slots=True)
class Formulation:
    """The instance, the meaning of its modes and items, and the column that leaves a job out.

    `candidates` has None for an item that stands for a mode as a whole; `widest` (jobs) are the
    widest modes: those with the largest removal of each form.
    """

    component: Component
    instance: Instance
    modes: Sequence[Mode]
    candidates: Sequence[Candidate | None]
    left_out: Mapping[int, Column]
    widest: Mapping[int, Sequence[int]] = field(repr=False)


def formulation_of(component: Component, jobs: Mapping[str, Sequence[Form]]) -> Formulation:
    """Return the formulation of a component; `jobs` holds the forms of each."""
    levels = len(component.serving) + len(component.order)
    row = {number: index for index, number in enumerate(component.contested)}
    capacity = list(component.contested.values())
    before = (0,) * len(component.serving)
    items = Items()
    candidates: list[Candidate | None] = []
    every_mode: list[list[list[tuple[int, int]]]] = []
    modes: list[Mode] = []
    widest: dict[int, list[int]] = {}
    left_out: dict[int, Column] = {}
    largest_at = len(before) + component.order.index("largest_removal")

    def add(
        costs: Sequence[int], candidate: Candidate | None, coefs: Iterable[tuple[int, int]] = ()
    ) -> int:
        candidates.append(candidate)
        return items.add(costs, coefs)

    for index, job in enumerate(component.jobs):
        mine: list[list[tuple[int, int]]] = []
        forms = [within(form, component.contested) for form in jobs[job.name]]
        own_rows = _OwnRows(job, forms, component.order, capacity)
        for form in forms:
            starts = []
            for some in (*form.cylinders, *form.bought):
                starts.append(len(items))
                for each in some:
                    coefs = [(row[n], much) for n, much in Counter(each.source.hard).items()]
                    add((*before, *each.costs), each, coefs + own_rows.coefs(form, each))
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
                modes.append(Mode(form, largest))
            widest.setdefault(index, []).append(len(modes) - 1)
        out = [int(level.counts(job.entry)) for level in component.serving]
        at = add((*out, *[0] * len(component.order)), None)
        left_out[index] = Column(index, len(modes), (at,))
        mine.append([(at, at + 1)])
        modes.append(Mode(None, 0))
        every_mode.append(mine)
    instance = instance_of(every_mode, items, capacity, levels)
    return Formulation(component, instance, modes, candidates, left_out, widest)


class _OwnRows:
    """Rows of one job: its budget, and one for each number that comes in kits.

    A job uses at most the pieces of such a number that it buys, in kits and singly. The capacity of
    its row is the largest possible purchase. A part used has coefficient 1; a purchase that falls
    short has the number of pieces it lacks.
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

    def coefs(self, form: Form, each: Candidate) -> list[tuple[int, int]]:
        paid = [] if self.budget is None else [(self.budget, each.costs[self.price])]
        if not isinstance(each.stands, Brings):
            return paid + [(self.row[n], much) for n, much in Counter(each.brought).items()]
        bought = each.stands
        most = next(len(some) - 1 for some in form.bought if _bought(some).number == bought.number)
        found = ((self.row[n], count * (most - bought.pieces)) for n, count in bought.contents)
        return [(row, much) for row, much in (*paid, *found) if much]

    def short(self, form: Form) -> list[tuple[int, int]]:
        """Return the shortfall of this form's purchase against the largest purchase of any form."""
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


def greedy(whole: Formulation) -> dict[int, Column]:
    """Return a greedy solution: each job in serving order takes its best feasible column."""
    instance, left = whole.instance, np.append(whole.instance.capacity, 0)
    found = {}
    for index, out in whole.left_out.items():
        best = min(
            (told for mode in whole.widest.get(index, ()) for told in _greedy(whole, mode, left)),
            default=((), out),
        )[1]
        for item in best.items:
            np.subtract.at(left, instance.rows[item], instance.coefs[item])
        found[index] = best
    return found


_Told = tuple[tuple[int, ...], Column]


def _greedy(whole: Formulation, mode: int, left: Ints) -> Iterator[_Told]:
    """Yield good columns of a mode by cost: with kits preferred to single parts, and without."""
    instance = whole.instance
    slots = list(range(int(instance.mode_slots[mode]), int(instance.mode_slots[mode + 1])))
    bought = [p for p in slots if _is_bought(whole.candidates[int(instance.first[p])])]
    for order in (bought, bought[::-1]) if bought else (bought,):
        # With a budget, the first step cannot buy everything.
        for before in (order, []) if bought else ([],):
            told = _Greedy(instance, left.copy()).run(before, slots[: -len(bought) or None], order)
            if told is not None:
                items, total = told
                column = Column(int(instance.mode_job[mode]), mode, tuple(items[p] for p in slots))
                yield total, column
                break


def _is_bought(candidate: Candidate | None) -> bool:
    return candidate is not None and isinstance(candidate.stands, Brings)


class _Greedy:
    """Fills slot by slot with the cheapest item that the remaining capacity permits."""

    def __init__(self, instance: Instance, left: Ints) -> None:
        self.instance, self.left = instance, left
        self.items: dict[int, int] = {}

    def run(
        self, before: Sequence[int], slots: Sequence[int], bought: Sequence[int]
    ) -> tuple[dict[int, int], tuple[int, ...]] | None:
        """Buy everything in `before`, choose the parts, then reduce the purchase to the parts
        needed.
        """
        if not all(self._choose(slot, most=True) for slot in before):
            return None
        if not all(self._choose(slot) for slot in (*slots, *bought)):
            return None
        return self.items, tuple(
            self.instance.costs[list(self.items.values())].sum(axis=0).tolist()
        )

    def _choose(self, slot: int, *, most: bool = False) -> bool:
        instance, left = self.instance, self.left
        held = self.items.get(slot)
        if held is not None:
            np.add.at(left, instance.rows[held], instance.coefs[held])
        first, last = int(instance.first[slot]), int(instance.last[slot])
        free = np.flatnonzero(
            (instance.coefs[first:last] <= left[instance.rows[first:last]]).all(axis=1)
        )
        if not len(free):
            return False
        item = first + int(free[-1])
        if not most:
            item = first + min(
                free.tolist(), key=lambda at: tuple(instance.costs[first + at].tolist())
            )
        np.subtract.at(left, instance.rows[item], instance.coefs[item])
        self.items[slot] = item
        return bool((left[:-1] >= 0).all())


def seeds_of(whole: Formulation, before: Mapping[str, Selection]) -> list[Column]:
    """Return the columns of the jobs' earlier selections."""
    names = {job.name: index for index, job in enumerate(whole.component.jobs)}
    found = []
    for name, chosen in before.items():
        for mode in whole.widest.get(names.get(name, -1), ()):
            column = _seed(whole, names[name], mode, chosen)
            if column is not None:
                found.append(column)
                break
    return found


def _seed(whole: Formulation, index: int, widest: int, chosen: Selection) -> Column | None:
    """Return the column of a selection; None if an item of it does not exist."""
    instance = whole.instance
    slots = range(int(instance.mode_slots[widest]) + 1, int(instance.mode_slots[widest + 1]))
    if len(slots) < len(chosen.cylinders):
        return None
    items = []
    for at, slot in enumerate(slots):
        item = _same(whole, range(int(instance.first[slot]), int(instance.last[slot])), chosen, at)
        if item is None:
            return None
        items.append(item)
    return _narrowest(whole, index, widest, items)


def _same(whole: Formulation, slot: range, chosen: Selection, at: int) -> int | None:
    """Return the item of a slot that represents the choice, or the purchase, made there."""
    for item in slot:
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


def _narrowest(whole: Formulation, index: int, widest: int, items: Sequence[int]) -> Column:
    """Return the column in the narrowest mode (least largest removal) that has the items."""
    largest = max(c.removal for item in items if (c := whole.candidates[item]))
    mode = widest
    while mode and whole.modes[mode - 1].form is whole.modes[widest].form:
        if whole.modes[mode - 1].largest < largest:
            break
        mode -= 1
    own = int(whole.instance.first[int(whole.instance.mode_slots[mode])])
    return Column(index, mode, (own, *items))


def narrowed(whole: Formulation, columns: Mapping[int, Column]) -> dict[int, Column]:
    """Return columns, each moved to the mode of the largest removal among its items."""
    return {
        index: _narrowest(whole, index, column.mode, column.items[1:])
        if whole.modes[column.mode].form is not None
        else column
        for index, column in columns.items()
    }
