"""The days of separable jobs: who takes what could be ordered from the shelf, to be done sooner."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from fitsolver.allotment.combinations import sizes_of
from fitsolver.allotment.component import Component
from fitsolver.allotment.forms import Brings, Candidate
from fitsolver.allotment.formulation import Formulation
from fitsolver.allotment.prepared import Prepared
from fitsolver.choices.selection import Bought, CylinderSelection, Selection
from fitsolver.mip.fixing import Subinstance
from fitsolver.mip.instance import Column, Instance, Items, instance_of


class Timed(NamedTuple):
    """The instance of what is left, with a mode for each time that parts and work may take.

    `start` is the solution known, `candidates` what the items stand for (None: a mode as a whole),
    `taken` the numbers that they take from the shelf: in a mode with more time some are ordered.
    """

    instance: Instance
    start: dict[int, Column]
    candidates: Sequence[Candidate | None]
    taken: Sequence[tuple[str, ...]]


def timed(whole: Formulation, left: Subinstance, known: Sequence[Column], days_at: int) -> Timed:
    """Return the instance in which the days are a level (the first), then the levels after it.

    `known` is a solution in terms of `left`.
    """
    return _Timing(whole, left, known, days_at).run()


class _TimedMode(NamedTuple):
    """A mode with a time that parts and work may take: the items of each slot that are in time."""

    mode: int
    lead: int
    work: int
    days: int
    slots: Sequence[Sequence[int]]


class _Timing:
    def __init__(
        self, whole: Formulation, left: Subinstance, known: Sequence[Column], days_at: int
    ) -> None:
        self.whole, self.left, self.known, self.days_at = whole, left, known, days_at
        self.row = {number: at for at, number in enumerate(whole.component.contested)}
        self.items = Items()
        self.candidates: list[Candidate | None] = []
        self.taken: list[tuple[str, ...]] = []
        self.modes: list[list[list[tuple[int, int]]]] = [[] for _ in known]
        self.origin: list[int] = []
        self.start: dict[int, Column] = {}
        self.capacity = left.instance.capacity.tolist()
        #: Of each row of one mode alone: that mode, and the job's other modes, which fill it.
        self.own: list[tuple[int, list[int]]] = []

    def run(self) -> Timed:
        instance = self.left.instance
        modes: dict[int, list[_TimedMode]] = defaultdict(list)
        for mode, index in enumerate(instance.mode_job.tolist()):
            modes[index] += self._timed(mode, index)
        for index, mine in modes.items():
            others = list(range(len(self.origin), len(self.origin) + len(mine)))
            for each in mine:
                self._add_mode(index, each, others)
        levels = instance.costs.shape[1] - self.days_at
        found = instance_of(self.modes, self.items, self.capacity, levels)
        known = len(instance.capacity)
        equality = np.zeros(len(self.capacity), dtype=np.bool_)
        equality[:known] = instance.equality
        filled = np.zeros((len(self.origin), len(self.own)), dtype=np.int64)
        for at, (own, others) in enumerate(self.own):
            filled[others, at] = self.capacity[known + at]
            filled[own, at] = 0
        found = replace(
            found,
            equality=equality,
            mode_rows=np.append(instance.mode_rows, np.arange(known, len(self.capacity))),
            mode_coefs=np.column_stack([instance.mode_coefs[self.origin], filled]),
        )
        return Timed(found, self.start, self.candidates, self.taken)

    def _timed(self, mode: int, index: int) -> Iterator[_TimedMode]:
        """Yield a mode with each time that its parts and work may take."""
        instance, job = self.left.instance, self.whole.component.jobs[index]
        begin, end = int(instance.mode_slots[mode]), int(instance.mode_slots[mode + 1])
        slots = [range(int(instance.first[p]), int(instance.last[p])) for p in range(begin, end)]
        told = [[self._told(item) for item in slot] for slot in slots[1:]]
        for lead, work in _times(job, told):
            kept = [
                [i for i, c in zip(slot, some, strict=True) if self._in_time(c, lead, work)]
                for slot, some in zip(slots[1:], told, strict=True)
            ]
            if all(kept):
                yield _TimedMode(mode, lead, work, _days(job, lead, work), [slots[0], *kept])

    def _add_mode(self, index: int, each: _TimedMode, others: list[int]) -> None:
        rows = self._own_rows(each, others)
        spans = [
            self._add(slot, each.lead, 0 if at else each.days, rows)
            for at, slot in enumerate(each.slots)
        ]
        known = self.known[index]
        lead, work = _latest(self._chosen(known))
        days = _days(self.whole.component.jobs[index], lead, work)
        in_time = lead <= each.lead and work <= each.work and days == each.days
        if known.mode == each.mode and in_time:
            chosen = [
                span[0] + slot.index(item)
                for span, slot, item in zip(spans, each.slots, known.items, strict=True)
            ]
            self.start[index] = Column(index, len(self.origin), tuple(chosen))
        self.origin.append(each.mode)
        self.modes[index].append(spans)

    def _own_rows(self, each: _TimedMode, others: list[int]) -> dict[str, int]:
        """Return a row for each number that comes in kits: what is used in this mode is bought in
        it.

        The rows of the job hold over all its modes together: in a relaxation one mode might use
        what another buys.
        """
        most: Counter[str] = Counter()
        for slot in each.slots[1:] if len(others) > 1 else ():
            bought = [c.stands for c in map(self._told, slot) if isinstance(c.stands, Brings)]
            for number, count in bought[0].contents if bought else ():
                most[number] += count * max(some.pieces for some in bought)
        rows = {number: len(self.capacity) + at for at, number in enumerate(sorted(most))}
        self.capacity += [most[number] for number in rows]
        self.own += [(len(self.origin), others)] * len(rows)
        return rows

    def _in_time(self, candidate: Candidate, lead: int, work: int) -> bool:
        """Tell whether a candidate can be had so soon without a piece that is spoken for.

        What is in an equality row must come from the shelf: the levels settled before hang on it.
        """
        source, equality = candidate.source, self.left.instance.equality
        return (
            source.lead <= lead
            and candidate.work <= work
            and not any(late > lead and equality[self.row[number]] for late, number in source.soft)
        )

    def _told(self, item: int) -> Candidate:
        candidate = self.whole.candidates[self._old(item)]
        assert candidate is not None
        return candidate

    def _chosen(self, column: Column) -> list[Candidate]:
        return [c for item in column.items if (c := self.whole.candidates[self._old(item)])]

    def _old(self, item: int) -> int:
        return int(self.left.item_of[item])

    def _add(
        self, slot: Sequence[int], lead: int, days: int, own: Mapping[str, int]
    ) -> tuple[int, int]:
        instance, first = self.left.instance, len(self.items)
        brings = [self._brings(item) for item in slot]
        most = max((each.pieces for each in brings if each is not None), default=0)
        for item, bought in zip(slot, brings, strict=True):
            pairs = zip(instance.rows[item].tolist(), instance.coefs[item].tolist(), strict=True)
            coefs = [(row, much) for row, much in pairs if much]
            candidate = self.whole.candidates[self._old(item)]
            late = [] if candidate is None else _late(candidate, lead)
            coefs += [(self.row[number], 1) for number in late]
            if bought is not None:
                less = most - bought.pieces
                used = {number: count * less for number, count in bought.contents}
            else:
                used = Counter(() if candidate is None else candidate.brought)
            coefs += [(own[n], much) for n, much in used.items() if much and n in own]
            after = instance.costs[item, self.days_at + 1 :].tolist()
            self.items.add((days, *after), coefs)
            self.candidates.append(candidate)
            hard = candidate.source.hard if candidate else ()
            self.taken.append(tuple(sorted((*hard, *late))))
        return first, len(self.items)

    def _brings(self, item: int) -> Brings | None:
        candidate = self.whole.candidates[self._old(item)]
        if candidate is None or not isinstance(candidate.stands, Brings):
            return None
        return candidate.stands


def _latest(chosen: Sequence[Candidate]) -> tuple[int, int]:
    """Return how long parts and work take when everything that can be ordered is."""
    lead = max(
        (max(c.source.lead, *(late for late, _ in c.source.soft), 0) for c in chosen), default=0
    )
    return lead, max((c.work for c in chosen), default=0)


def _late(candidate: Candidate, lead: int) -> list[str]:
    """Return what could be ordered, but takes longer: it comes from the shelf."""
    return [number for late, number in candidate.source.soft if late > lead]


def _times(job: Prepared, told: Sequence[Sequence[Candidate]]) -> list[tuple[int, int]]:
    """Return the times that parts and work may take, the longest last.

    Of those after which the job is done as soon the longest is as good as any: more is in time, and
    less must come from the shelf.
    """
    each = [candidate for some in told for candidate in some]
    leads = {0, *(c.source.lead for c in each), *(late for c in each for late, _ in c.source.soft)}
    works = {c.work for c in each} or {0}
    if job.task.job.finishing == "piston in hand":
        return [(lead, work) for lead in sorted(leads) for work in sorted(works)]
    least = min(works)
    return [
        (max(lead for lead in leads if lead <= days), max(w for w in works if w <= days))
        for days in sorted(leads | works)
        if days >= least
    ]


def _days(job: Prepared, lead: int, work: int) -> int:
    return lead + work if job.task.job.finishing == "piston in hand" else max(lead, work)


def selections(
    whole: Formulation, columns: Mapping[int, Column], ordered: Timed | None
) -> dict[str, Selection]:
    """Return what every job takes that is served."""
    told = whole.candidates if ordered is None else ordered.candidates
    found: dict[str, Selection] = {}
    for index, column in columns.items():
        job = whole.component.jobs[index]
        items = [item for item in column.items if told[item]]
        chosen = [c for item in items if (c := told[item])]
        if not chosen:
            continue
        if isinstance(chosen[0].stands, Selection):
            found[job.name] = chosen[0].stands
            continue
        taken: Counter[str] = Counter()
        for item, candidate in zip(items, chosen, strict=True):
            taken.update(candidate.source.hard if ordered is None else ordered.taken[item])
        found[job.name] = _selection(whole.component, chosen, taken)
    return found


def _selection(
    component: Component, chosen: Sequence[Candidate], taken: Mapping[str, int]
) -> Selection:
    """Return candidates with where every piece comes from: so many are taken from the shelf."""
    kits: Counter[str] = Counter()
    brought: Counter[str] = Counter()
    used: Counter[str] = Counter()
    cylinders = []
    for candidate in chosen:
        if isinstance(candidate.stands, Brings):
            if candidate.stands.is_kit:
                kits[candidate.stands.number] += candidate.stands.pieces
                for number, count in candidate.stands.contents:
                    brought[number] += count * candidate.stands.pieces
            continue
        each = candidate.own
        low, high = sizes_of(each)
        rings = {ring.groove: ring for ring in sorted(each.chosen, key=lambda ring: ring.groove)}
        cylinders.append(CylinderSelection(each.option, low, high, rings, {}))
        used.update(each.parts)

    def bought(counts: Mapping[str, int]) -> dict[str, Bought]:
        found = {}
        for number, count in sorted(counts.items()):
            stock = count if number in component.ample else min(count, taken.get(number, 0))
            found[number] = Bought(stock, count - stock)
        return {number: each for number, each in found.items() if each != Bought()}

    return Selection(tuple(cylinders), bought(kits), bought(used - brought))
