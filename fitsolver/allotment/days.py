"""The days of separable jobs: who takes what could be ordered from the shelf, to be done sooner."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from fitsolver.allotment.combinations import sizes_of
from fitsolver.allotment.component import Component
from fitsolver.allotment.forms import Brings, Candidate
from fitsolver.allotment.pool import Choice, Items, Pool, pool_of
from fitsolver.allotment.prepare import Prepared
from fitsolver.allotment.restrict import Restricted
from fitsolver.allotment.ways import Ways
from fitsolver.choices.selection import Bought, CylinderSelection, Selection


class Timed(NamedTuple):
    """The pool of what is left, with a way for each time that parts and work may take.

    `start` is the solution known, `leads` how long parts may take in each way, `candidates`
    what the items stand for (None: a way as a whole).
    """

    pool: Pool
    start: dict[int, Choice]
    leads: Sequence[int]
    candidates: Sequence[Candidate | None]


def timed(whole: Ways, left: Restricted, known: Sequence[Choice], days_at: int) -> Timed:
    """Return the pool in which the days are a level (the first), then the levels after it.

    `known` is a solution in terms of `left`.
    """
    return _Timing(whole, left, known, days_at).run()


class _Timing:
    def __init__(
        self, whole: Ways, left: Restricted, known: Sequence[Choice], days_at: int
    ) -> None:
        self.whole, self.left, self.known, self.days_at = whole, left, known, days_at
        self.row = {number: at for at, number in enumerate(whole.component.contested)}
        self.items = Items()
        self.candidates: list[Candidate | None] = []
        self.takers: list[list[list[tuple[int, int]]]] = [[] for _ in known]
        self.leads: list[int] = []
        self.origin: list[int] = []
        self.start: dict[int, Choice] = {}

    def run(self) -> Timed:
        pool = self.left.pool
        for way, taker in enumerate(pool.way_taker.tolist()):
            self._way(way, taker)
        levels = pool.costs.shape[1] - self.days_at
        found = pool_of(self.takers, self.items, pool.capacity.tolist(), levels)
        found = replace(
            found,
            tight=pool.tight,
            way_rows=pool.way_rows,
            way_takes=pool.way_takes[self.origin],
        )
        return Timed(found, self.start, self.leads, self.candidates)

    def _way(self, way: int, taker: int) -> None:
        pool = self.left.pool
        known = self.known[taker]
        begin, end = int(pool.way_places[way]), int(pool.way_places[way + 1])
        places = [range(int(pool.first[p]), int(pool.last[p])) for p in range(begin, end)]
        told = [[self._told(item) for item in place] for place in places[1:]]
        latest = _latest(self._chosen(known)) if known.way == way else None
        for lead, work in _times(told):
            kept = [
                [i for i, c in zip(place, some, strict=True) if self._in_time(c, lead, work)]
                for place, some in zip(places[1:], told, strict=True)
            ]
            if not all(kept):
                continue
            job = self.whole.component.jobs[taker]
            spans = [self._add(places[0], lead, _days(job, lead, work) if told else 0)]
            spans += [self._add(place, lead, 0) for place in kept]
            if latest == (lead, work):
                chosen = [
                    span[0] + place.index(item)
                    for span, place, item in zip(
                        spans, [list(places[0]), *kept], known.items, strict=True
                    )
                ]
                self.start[taker] = Choice(taker, len(self.leads), tuple(chosen))
            self.leads.append(lead)
            self.origin.append(way)
            self.takers[taker].append(spans)

    def _in_time(self, candidate: Candidate, lead: int, work: int) -> bool:
        """Tell whether a candidate can be had so soon without a piece that is spoken for.

        What comes to the capacity of a tight row is what must come from the shelf: the levels
        settled before hang on it.
        """
        source, tight = candidate.source, self.left.pool.tight
        return (
            source.lead <= lead
            and candidate.work <= work
            and not any(late > lead and tight[self.row[number]] for late, number in source.soft)
        )

    def _told(self, item: int) -> Candidate:
        candidate = self.whole.candidates[self._old(item)]
        assert candidate is not None
        return candidate

    def _chosen(self, choice: Choice) -> list[Candidate]:
        return [c for item in choice.items if (c := self.whole.candidates[self._old(item)])]

    def _old(self, item: int) -> int:
        return int(self.left.item_of[item])

    def _add(self, place: Sequence[int], lead: int, days: int) -> tuple[int, int]:
        pool, first = self.left.pool, len(self.items)
        for item in place:
            takes = [
                (row, much)
                for row, much in zip(
                    pool.rows[item].tolist(), pool.takes[item].tolist(), strict=True
                )
                if much
            ]
            candidate = self.whole.candidates[self._old(item)]
            if candidate is not None:
                takes += [
                    (self.row[number], 1) for late, number in candidate.source.soft if late > lead
                ]
            after = pool.costs[item, self.days_at + 1 :].tolist()
            self.items.add((days, *after), takes)
            self.candidates.append(candidate)
        return first, len(self.items)


def _latest(chosen: Sequence[Candidate]) -> tuple[int, int]:
    """Return how long parts and work take when everything that can be ordered is."""
    lead = max(
        (max(c.source.lead, *(late for late, _ in c.source.soft), 0) for c in chosen), default=0
    )
    return lead, max((c.work for c in chosen), default=0)


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
    whole: Ways, choices: Mapping[int, Choice], ordered: Timed | None
) -> dict[str, Selection]:
    """Return what every job takes that is served."""
    told = whole.candidates if ordered is None else ordered.candidates
    found: dict[str, Selection] = {}
    for taker, choice in choices.items():
        job = whole.component.jobs[taker]
        chosen = [c for item in choice.items if (c := told[item])]
        if not chosen:
            continue
        if isinstance(chosen[0].stands, Selection):
            found[job.name] = chosen[0].stands
            continue
        taken: Counter[str] = Counter()
        for candidate in chosen:
            late = [] if ordered is None else candidate.source.soft
            taken.update(candidate.source.hard)
            taken.update(n for lead, n in late if ordered and lead > ordered.leads[choice.way])
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
