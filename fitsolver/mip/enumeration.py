"""Column enumeration: every column whose reduced cost is within the gap, _undominated.

Slot by slot by dynamic programming over the coefficients; among columns of one job with equal
coefficients in the distinguished rows, only the cheapest is kept (Baldacci, Christofides and
Mingozzi 2008 enumerate the columns of a routing problem so).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Final, NamedTuple

import numpy as np

from fitsolver.base.deadline import Clock
from fitsolver.mip.dual_bound import Pricing
from fitsolver.mip.instance import NEVER, Column, Ints, slot_blocks
from fitsolver.mip.row_codes import Coefs, RowCodes, SurvivorFilter, Survivors

#: Above this number of columns, the instance is solved by its items instead.
MANY: Final = 100_000
#: Number of states between two checks of the time limit.
_LOOK_UP: Final = 256

#: A column, its cost on the level, and its coefficients in the distinguished rows.
Enumerated = tuple[Column, int, Coefs]


class _Offer(NamedTuple):
    """An item for a slot: its Lagrangian cost and cost, and its coefficients as a code."""

    item: int
    price: int
    cost: int
    code: int


class _Offers:
    """The offers of all slots that begin at the same item, computed once: modes share them."""

    def __init__(self, priced: Pricing, level: int, near: Ints, gap: int, codes: RowCodes) -> None:
        instance = priced.instance
        self.codes, self.item, self.costs = codes, priced.item, instance.costs[:, level]
        self.rows, self.coefs = instance.rows, instance.coefs
        self.reach = _reach(priced, near, gap)
        self.known: dict[int, list[_Offer]] = {}

    def of(self, first: int) -> list[_Offer]:
        """Return the items that any mode within the gap can take from there on."""
        if first not in self.known:
            last, dearest = self.reach[first]
            near = first + np.flatnonzero(self.item[first:last] <= dearest)
            figures = (near, self.item[near], self.costs[near], self.rows[near], self.coefs[near])
            self.known[first] = [
                _Offer(item, price, cost, self.codes.encoded(zip(rows, coefs, strict=True)))
                for item, price, cost, rows, coefs in zip(
                    *(f.tolist() for f in figures), strict=True
                )
            ]
        return self.known[first]

    def dominates(self, one: int, other: int) -> bool:
        """Tell whether an item has the coefficients of another and costs no more."""
        return bool(self.costs[one] <= self.costs[other]) and self._code(one) == self._code(other)

    def _code(self, item: int) -> int:
        pairs = zip(self.rows[item].tolist(), self.coefs[item].tolist(), strict=True)
        return self.codes.encoded(pairs)


def _reach(priced: Pricing, near: Ints, gap: int) -> dict[int, tuple[int, int]]:
    """Return, for slots that begin at the same item, the last end and the dearest item within the
    gap.
    """
    instance = priced.instance
    is_near = np.zeros(len(instance.mode_job), dtype=np.bool_)
    is_near[near] = True
    slot_mode = instance.slot_mode
    slots = np.flatnonzero(is_near[slot_mode])
    mode = slot_mode[slots]
    spare = gap + priced.job[instance.mode_job[mode]] - priced.mode[mode] + priced.slot[slots]
    begins, last, block = slot_blocks(instance.first[slots], instance.last[slots])
    most = np.full(len(begins), -NEVER)
    np.maximum.at(most, block, spare)
    return dict(zip(begins.tolist(), zip(last.tolist(), most.tolist(), strict=True), strict=True))


def _undominated(offers: Iterable[_Offer]) -> list[_Offer]:
    """Return the cheapest of offers with equal coefficients."""
    best: dict[int, _Offer] = {}
    for offer in offers:
        held = best.get(offer.code)
        if held is None or offer.cost < held.cost:
            best[offer.code] = offer
    return list(best.values())


class _Slot(NamedTuple):
    """The items of a slot, and where those of the mode before end (None: it has none of them)."""

    at: int
    near: list[_Offer]
    new: list[_Offer]
    end: int | None

    @property
    def offered(self) -> list[_Offer]:
        return _undominated(self.near)

    @property
    def old(self) -> list[_Offer]:
        return _undominated(offer for offer in self.near if offer.item < (self.end or 0))


#: By code of the coefficients: Lagrangian cost, cost and items of the cheapest so far.
_States = dict[int, tuple[int, int, tuple[int, ...]]]


def columns_within(
    priced: Pricing,
    level: int,
    gap: int,
    rows: Collection[int],
    clock: Clock,
    survivors: Survivors | None = None,
    most: int = MANY,
) -> list[Enumerated] | None:
    """Return all columns whose reduced cost (scaled) is at most `gap`.

    Only coefficients in `rows` are distinguished; `survivors` excludes the columns that an earlier
    enumeration excluded. None if there are more than `most`, or if the time ran out.
    """
    instance = priced.instance
    best: dict[tuple[int, int], tuple[int, Column]] = {}
    near = np.flatnonzero(priced.mode <= priced.job[instance.mode_job] + gap)
    codes = RowCodes(instance, rows)
    within = None if survivors is None else SurvivorFilter(survivors, codes)
    enumerator = _Enumerator(priced, level, near, gap, codes, within, clock, most)
    for mode, job in zip(near.tolist(), instance.mode_job[near].tolist(), strict=True):
        found = enumerator.of_mode(mode, gap + int(priced.job[job]))
        if found is None:
            return None
        for items, cost, code in found:
            held = best.get((job, code))
            if held is None or cost < held[0]:
                best[job, code] = cost, Column(job, mode, items)
        if len(best) > most or clock.left == 0:
            return None
    return [(column, cost, codes.decoded(code)) for (_, code), (cost, column) in best.items()]


class _Enumerator:
    """A pricing problem as plain lists, which are quicker to walk through one by one."""

    def __init__(
        self,
        priced: Pricing,
        level: int,
        near: Ints,
        gap: int,
        codes: RowCodes,
        survivors: SurvivorFilter | None,
        clock: Clock,
        most: int,
    ) -> None:
        self.clock, self.most = clock, most
        instance = priced.instance
        self.codes, self.survivors = codes, survivors
        self.job = instance.mode_job.tolist()
        self.bounds = instance.mode_slots.tolist()
        self.first, self.last = instance.first.tolist(), instance.last.tolist()
        self.slot, self.mode = priced.slot.tolist(), priced.mode.tolist()
        self.mode_price = priced.mode - np.add.reduceat(priced.slot, instance.mode_slots[:-1])
        self.mode_rows, self.mode_coefs = instance.mode_rows.tolist(), instance.mode_coefs
        self.offers = _Offers(priced, level, near, gap, codes)

    def of_mode(self, mode: int, room: int) -> list[tuple[tuple[int, ...], int, int]] | None:
        """Return items, cost and code of the columns of one mode, the cheapest of equal codes.

        Columns that a narrower mode also has are left to that mode. None if there are too many.
        """
        before = self._narrower(mode)
        spare = room - self.mode[mode]
        slots = [self._slot(slot, spare, before.get(slot)) for slot in self._range(mode)]
        if before and not any(slot.new for slot in slots):
            return []
        slots.sort(key=lambda slot: not slot.new)  # what is new first: the rest is all one
        rest, spent = self.mode[mode], int(self.mode_price[mode])
        rest -= spent
        start: _States = {self._own_code(mode): (spent, 0, ())}
        old, new = (start, {}) if before else ({}, start)
        for slot in slots:
            rest -= self.slot[slot.at]
            found = self._extended(mode, new, slot.offered, room - rest) if new else {}
            if old and slot.new:
                self._extended(mode, old, slot.new, room - rest, found)
                old = self._extended(mode, old, slot.old, room - rest)
            new = found
            if max(len(new), len(old)) > self.most or self.clock.left == 0:
                return None
        order = sorted(range(len(slots)), key=lambda index: slots[index].at)
        return [
            (tuple(items[index] for index in order), cost, code)
            for code, (_, cost, items) in new.items()
            if self.survivors is None or self.survivors.has(self.job[mode], code)
        ]

    def _extended(
        self,
        mode: int,
        states: _States,
        offered: list[_Offer],
        room: int,
        found: _States | None = None,
    ) -> _States:
        """Return states extended by one item; `room` is their largest reduced cost."""
        found = {} if found is None else found
        survivors, job, fits = self.survivors, self.job[mode], self.codes.fits
        for at, (code, (spent, cost, items)) in enumerate(states.items()):
            if len(found) > self.most or (at % _LOOK_UP == 0 and self.clock.left == 0):
                break  # it is given up
            for offer in offered:
                if spent + offer.price > room:
                    continue
                key = code + offer.code
                held = found.get(key)
                if held is not None and held[1] <= cost + offer.cost:
                    continue
                if fits(key) and (survivors is None or survivors.within(job, key)):
                    found[key] = spent + offer.price, cost + offer.cost, (*items, offer.item)
        return found

    def _range(self, mode: int) -> range:
        return range(self.bounds[mode], self.bounds[mode + 1])

    def _narrower(self, mode: int) -> dict[int, int]:
        """Return where the items of a narrower mode end, by slot; nothing without such a mode.

        The narrower mode is the preceding one of the same job, with equal mode coefficients. Its
        slots begin at the same items; a slot of a single item may differ where that item dominates
        the wider mode's.
        """
        mine, others = self._range(mode), self._range(mode - 1) if mode else range(0)
        if len(mine) != len(others) or self.job[mode] != self.job[mode - 1]:
            return {}
        if self._own_code(mode) != self._own_code(mode - 1):
            return {}
        ends: dict[int, int] = {}
        for slot, other in zip(mine, others, strict=True):
            if self.first[slot] == self.first[other] and self.last[other] <= self.last[slot]:
                ends[slot] = self.last[other]
            elif not self._dominates(other, slot):
                return {}
        return ends

    def _dominates(self, one: int, other: int) -> bool:
        """Tell whether both slots have a single item, and the one's dominates the other's."""
        if any(self.last[slot] != self.first[slot] + 1 for slot in (one, other)):
            return False
        return self.offers.dominates(self.first[one], self.first[other])

    def _slot(self, slot: int, spare: int, end: int | None) -> _Slot:
        dearest, last = spare + self.slot[slot], self.last[slot]
        near = [
            offer
            for offer in self.offers.of(self.first[slot])
            if offer.item < last and offer.price <= dearest
        ]
        new = [] if end is None or end == last else _undominated(o for o in near if o.item >= end)
        return _Slot(slot, near, new, end)

    def _own_code(self, mode: int) -> int:
        return self.codes.encoded(zip(self.mode_rows, self.mode_coefs[mode].tolist(), strict=True))
