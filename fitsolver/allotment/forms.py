"""The forms a separable job can take: one size, one range of masses, parts and work in time.

Within a form the largest removal, the days and the purchase couple the cylinders. A part that can
be ordered in time uses no stock; a part that cannot uses one piece from the shelf. Parts that also
come in kits are bought for the whole job: a number of kits, and a number of single pieces.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from fitsolver.allotment.combinations import Combination, combinations
from fitsolver.allotment.component import Component
from fitsolver.allotment.prepared import Prepared
from fitsolver.allotment.supply import sold
from fitsolver.choices.selection import Selection
from fitsolver.fits import availability
from fitsolver.records.base import Level
from fitsolver.records.catalogue import Catalogue, Kit

#: Above every lead time, in days.
FOREVER = 10**6


class Source(NamedTuple):
    """The sources of a combination's parts, if they arrive in time.

    `hard` numbers must come from the shelf. `soft` (lead time, number) could also be ordered.
    `lead` is the lead time in days of the parts that are not on the shelf.
    """

    hard: tuple[str, ...]
    soft: tuple[tuple[int, str], ...]
    lead: int


class Brings(NamedTuple):
    """Pieces of one number that a job buys: a kit, or a part that also comes in kits.

    `contents`: the parts in each piece.
    """

    number: str
    contents: tuple[tuple[str, int], ...]
    pieces: int
    is_kit: bool


class Candidate(NamedTuple):
    """A combination that is in time, or a purchase for the whole job, or the whole plan of a job.

    `brought` are the parts of a combination that are bought for the whole job.
    """

    costs: tuple[int, ...]
    removal: int
    source: Source
    work: int
    stands: Combination | Brings | Selection
    brought: tuple[str, ...] = ()

    @property
    def own(self) -> Combination:
        assert isinstance(self.stands, Combination)
        return self.stands


class Form(NamedTuple):
    """Candidates by cylinder, sorted by removal; parts arrive within `lead` days, work takes
    `work`.

    `bought`: a candidate for each possible count of each kit, and of each part that comes in kits.
    """

    lead: int
    work: int
    cylinders: tuple[tuple[Candidate, ...], ...]
    bought: tuple[tuple[Candidate, ...], ...] = ()


class Sources:
    """The sources of parts, computed once for all jobs of a component."""

    def __init__(self, component: Component) -> None:
        self.component = component
        self.leads: dict[int, dict[str, int | None]] = {}
        self.known_prices: dict[int, dict[str, int | None]] = {}
        self.known: dict[tuple[int, int, tuple[str, ...]], Source | None] = {}

    def of(self, catalogue: Catalogue, lead: int, parts: tuple[str, ...]) -> Source | None:
        """Return the sources of parts within a lead time; None if a part is not in time."""
        key = id(catalogue), lead, parts
        if key not in self.known:
            self.known[key] = self._of(catalogue, lead, parts)
        return self.known[key]

    def prices(self, catalogue: Catalogue) -> dict[str, int | None]:
        """Return the price of a piece of each number (None: not sold singly)."""
        if id(catalogue) not in self.known_prices:
            self.known_prices[id(catalogue)] = {i.number: i.price for i in sold(catalogue)}
        return self.known_prices[id(catalogue)]

    def in_time(self, job: Prepared, lead: int, kit: Kit) -> bool:
        """Tell whether a kit can be bought that arrives within a lead time."""
        if kit.price is None:
            return False
        return self.of(job.task.catalogue, lead, (kit.number,)) is not None

    def _of(self, catalogue: Catalogue, lead: int, parts: tuple[str, ...]) -> Source | None:
        hard, soft, longest = [], [], 0
        leads = self._leads(catalogue)
        for number in parts:
            if number in self.component.ample:
                continue
            takes = leads.get(number)
            in_time = takes is not None and takes <= lead
            if number in self.component.contested:
                if in_time:
                    soft.append((takes or 0, number))
                else:
                    hard.append(number)
            elif in_time:
                longest = max(longest, takes or 0)
            else:
                return None
        return Source(tuple(sorted(hard)), tuple(sorted(soft)), longest)

    def _leads(self, catalogue: Catalogue) -> dict[str, int | None]:
        if id(catalogue) not in self.leads:
            priced = (item for item in sold(catalogue) if item.price is not None)
            self.leads[id(catalogue)] = {item.number: item.lead_days for item in priced}
        return self.leads[id(catalogue)]


def forms(job: Prepared, component: Component, sources: Sources) -> Iterator[Form]:
    """Yield the forms in which every cylinder has a candidate."""
    record = job.task.job
    in_kits = kit_parts(job)
    found = [
        list(combinations(options, rings, in_kits))
        for options, rings in zip(job.options, job.rings, strict=True)
    ]
    names = [cylinder.name for cylinder in record.cylinders]
    sized = [any(name in s.cylinders for s in record.same_size) for name in names]
    matched = [any(name in m.cylinders for m in record.mass_match) for name in names]
    limit = record.mass_match[0].limit if record.mass_match else 0
    at = None if record.terms.budget is None else component.order.index("price")
    for lead, work in _times(job, found):
        kits = [kit for kit in job.task.catalogue.kits if sources.in_time(job, lead, kit)]
        brought = frozenset(item.number for kit in kits for item in kit.contents)
        timed = [
            [c for each in some if (c := _candidate(job, each, sources, lead, work, brought))]
            for some in found
        ]
        for size in _common(timed, sized):
            of_size = [
                [c for c in some if not in_set or c.own.oversize == size]
                for some, in_set in zip(timed, sized, strict=True)
            ]
            for cylinders in _matched(of_size, matched, limit):
                if all(cylinders):
                    best = tuple(_undominated(some, at) for some in cylinders)
                    yield Form(lead, work, best, _bought(job, best, kits, sources, lead))


def kit_parts(job: Prepared) -> frozenset[str]:
    """Return the numbers that come in a kit that can be bought."""
    return frozenset(
        item.number
        for kit in job.task.catalogue.kits
        if kit.number in job.most or availability.can_order(kit)
        for item in kit.contents
    )


def _bought(
    job: Prepared,
    cylinders: Sequence[Sequence[Candidate]],
    kits: Sequence[Kit],
    sources: Sources,
    lead: int,
) -> tuple[tuple[Candidate, ...], ...]:
    """Return a candidate for each count of each kit and part that is bought for the whole job."""
    most: Counter[str] = Counter()
    prices = sources.prices(job.task.catalogue)
    for some in cylinders:
        each: Counter[str] = Counter()
        for candidate in some:
            each |= Counter(candidate.brought)
        most += each
    found = []
    for kit in kits:
        useful = max(-(-most[item.number] // item.count) for item in kit.contents)
        if useful:
            contents = tuple((item.number, item.count) for item in kit.contents)
            brings = Brings(kit.number, contents, useful, is_kit=True)
            found.append(_counts(job, brings, kit.price or 0, sources, lead))
    for number, count in sorted(most.items()):
        price = prices[number]
        if price is not None and sources.of(job.task.catalogue, lead, (number,)) is not None:
            brings = Brings(number, ((number, 1),), count, is_kit=False)
            found.append(_counts(job, brings, price, sources, lead))
    return tuple(found)


def _counts(
    job: Prepared, most: Brings, price: int, sources: Sources, lead: int
) -> tuple[Candidate, ...]:
    """Return a candidate for each count up to the most."""
    some = []
    for pieces in range(most.pieces + 1):
        source = sources.of(job.task.catalogue, lead, (most.number,) * pieces)
        assert source is not None
        figures: dict[Level, int] = {"price": pieces * price}
        costs = tuple(figures.get(level, 0) for level in sources.component.order)
        some.append(Candidate(costs, 0, source, 0, most._replace(pieces=pieces)))
    return tuple(some)


def _times(job: Prepared, found: Sequence[Sequence[Combination]]) -> list[tuple[int, int]]:
    """Return the pairs of lead time and work (days) that together are in time."""
    due = job.task.job.terms.needed_in_days
    if due is None:
        return [(FOREVER, FOREVER)]
    if job.task.job.finishing != "piston in hand":
        return [(due, due)]
    works = sorted({each.days for some in found for each in some if each.days <= due})
    return [(due - work, work) for work in works]


def _candidate(
    job: Prepared,
    each: Combination,
    sources: Sources,
    lead: int,
    work: int,
    brought: frozenset[str],
) -> Candidate | None:
    """Return a combination with the sources of its parts; None if it is not in time."""
    if each.days > work:
        return None
    prices = sources.prices(job.task.catalogue)
    apart = tuple(number for number in each.parts if number in brought)
    single = tuple(number for number in each.parts if number not in brought)
    if any(prices[number] is None for number in single):
        return None
    source = sources.of(job.task.catalogue, lead, single)
    if source is None:
        return None
    figures: dict[Level, int] = {
        "restored": each.restored,
        "total_removal": each.removal,
        "filing": each.filing,
        "price": each.price - sum(prices[number] or 0 for number in apart),
    }
    costs = tuple(figures.get(level, 0) for level in sources.component.order)
    return Candidate(costs, each.removal, source, each.days, each, tuple(sorted(apart)))


def within(form: Form, shelf: Mapping[str, int]) -> Form:
    """Return the form without counts that need more than the stock."""
    bought = (
        tuple(each for each in some if len(each.source.hard) <= shelf.get(_number(each), 0))
        if some[-1].source.hard
        else some
        for some in form.bought
    )
    return form._replace(bought=tuple(bought))


def _number(bought: Candidate) -> str:
    assert isinstance(bought.stands, Brings)
    return bought.stands.number


def _common(timed: Sequence[Sequence[Candidate]], sized: Sequence[bool]) -> list[int | None]:
    sets = [
        {c.own.oversize for c in some} for some, in_set in zip(timed, sized, strict=True) if in_set
    ]
    return [*sorted(set.intersection(*sets))] if sets else [None]


def _matched(
    some: Sequence[Sequence[Candidate]], heavy: Sequence[bool], limit: int
) -> list[list[list[Candidate]]]:
    """Return the candidates of every maximal mass range: a range within another is left out."""
    starts = sorted({c.own.mass[0] for each, m in zip(some, heavy, strict=True) if m for c in each})
    if not starts:
        return [[list(each) for each in some]]
    ranges: list[tuple[frozenset[tuple[int, int]], int]] = []
    masses = {c.own.mass for each, m in zip(some, heavy, strict=True) if m for c in each}
    for least in starts:
        inside = frozenset(m for m in masses if least <= m[0] and m[1] <= least + limit)
        if inside and not any(inside <= other for other, _ in ranges):
            ranges = [(other, at) for other, at in ranges if not other <= inside]
            ranges.append((inside, least))
    return [
        [
            [c for c in each if not m or c.own.mass in inside]
            for each, m in zip(some, heavy, strict=True)
        ]
        for inside, _ in ranges
    ]


def _undominated(some: Sequence[Candidate], price: int | None) -> tuple[Candidate, ...]:
    """Return the undominated candidates: the best one of each kind of demand.

    A candidate is dominated by a better one that is done no later, if that needs no scarce part or
    has the same sources.

    With a budget, the cost at `price` also distinguishes kinds.
    """

    def paid(each: Candidate) -> int:
        return 0 if price is None else each.costs[price]

    best: dict[object, tuple[tuple[object, ...], Candidate]] = {}
    for each in some:
        kind, rank = (each.source, each.work, each.brought, paid(each)), _rank(each)
        held = best.get(kind)
        if held is None or rank < held[0]:
            best[kind] = rank, each
    alike: dict[object, list[tuple[tuple[object, ...], Candidate]]] = defaultdict(list)
    for rank, c in best.values():
        alike[c.source, c.brought].append((rank, c))
    free = [(r, c) for r, c in best.values() if not (c.source.hard or c.source.soft or c.brought)]
    left = [
        c
        for rank, c in best.values()
        if not any(
            f is not c
            and f.source.lead <= c.source.lead
            and f.work <= c.work
            and paid(f) <= paid(c)
            and better < rank
            for better, f in free
        )
        and not any(
            f.work <= c.work and paid(f) <= paid(c) and better[:2] < rank[:2]
            for better, f in alike[c.source, c.brought]
        )
    ]
    return tuple(sorted(left, key=lambda c: c.removal))


def _rank(candidate: Candidate) -> tuple[object, ...]:
    """Rank by cost, level by level, then by removal: of equal costs the smaller removal is never
    worse.
    """
    own = candidate.own
    return candidate.costs, candidate.removal, own.parts, own.key
