"""The days of separable jobs: who takes what could be ordered from the shelf, to be done sooner."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from fitsolver.allotment.combinations import sizes_of
from fitsolver.allotment.component import Component
from fitsolver.allotment.forms import Brings, Candidate
from fitsolver.allotment.formulation import Formulation
from fitsolver.allotment.prepare import Prepared
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

    def run(self) -> Timed:
        instance = self.left.instance
        for mode, index in enumerate(instance.mode_job.tolist()):
            self._add_mode(mode, index)
        levels = instance.costs.shape[1] - self.days_at
        found = instance_of(self.modes, self.items, instance.capacity.tolist(), levels)
        found = replace(
            found,
            equality=instance.equality,
            mode_rows=instance.mode_rows,
            mode_coefs=instance.mode_coefs[self.origin],
        )
        return Timed(found, self.start, self.candidates, self.taken)

    def _add_mode(self, mode: int, index: int) -> None:
        instance = self.left.instance
        known = self.known[index]
        begin, end = int(instance.mode_slots[mode]), int(instance.mode_slots[mode + 1])
        slots = [range(int(instance.first[p]), int(instance.last[p])) for p in range(begin, end)]
        told = [[self._told(item) for item in slot] for slot in slots[1:]]
        latest = _latest(self._chosen(known)) if known.mode == mode else None
        for lead, work in _times(told):
            kept = [
                [i for i, c in zip(slot, some, strict=True) if self._in_time(c, lead, work)]
                for slot, some in zip(slots[1:], told, strict=True)
            ]
            if not all(kept):
                continue
            job = self.whole.component.jobs[index]
            spans = [self._add(slots[0], lead, _days(job, lead, work) if told else 0)]
            spans += [self._add(slot, lead, 0) for slot in kept]
            if latest == (lead, work):
                chosen = [
                    span[0] + slot.index(item)
                    for span, slot, item in zip(
                        spans, [list(slots[0]), *kept], known.items, strict=True
                    )
                ]
                self.start[index] = Column(index, len(self.origin), tuple(chosen))
            self.origin.append(mode)
            self.modes[index].append(spans)

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

    def _add(self, slot: Sequence[int], lead: int, days: int) -> tuple[int, int]:
        instance, first = self.left.instance, len(self.items)
        for item in slot:
            coefs = [
                (row, much)
                for row, much in zip(
                    instance.rows[item].tolist(), instance.coefs[item].tolist(), strict=True
                )
                if much
            ]
            candidate = self.whole.candidates[self._old(item)]
            late = [] if candidate is None else _late(candidate, lead)
            coefs += [(self.row[number], 1) for number in late]
            after = instance.costs[item, self.days_at + 1 :].tolist()
            self.items.add((days, *after), coefs)
            self.candidates.append(candidate)
            hard = candidate.source.hard if candidate else ()
            self.taken.append(tuple(sorted((*hard, *late))))
        return first, len(self.items)


def _latest(chosen: Sequence[Candidate]) -> tuple[int, int]:
    """Return how long parts and work take when everything that can be ordered is."""
    lead = max(
        (max(c.source.lead, *(late for late, _ in c.source.soft), 0) for c in chosen), default=0
    )
    return lead, max((c.work for c in chosen), default=0)


def _late(candidate: Candidate, lead: int) -> list[str]:
    """Return what could be ordered, but takes longer: it comes from the shelf."""
    return [number for late, number in candidate.source.soft if late > lead]


def _times(told: Sequence[Sequence[Candidate]]) -> Iterator[tuple[int, int]]:
    """Yield the times that parts and work may take, the longest last."""
    each = [candidate for some in told for candidate in some]
    leads = {0, *(c.source.lead for c in each), *(late for c in each for late, _ in c.source.soft)}
    for lead in sorted(leads):
        for work in sorted({c.work for c in each} or {0}):
            yield lead, work


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
