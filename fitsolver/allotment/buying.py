"""The purchase of a job's parts: in kits and singly, from the shelf first.

For jobs that have no part in hand. The search branches on kits, in the order of their numbers. A
branch ends when the lower bound on the cost of the remaining parts is too high. With p(n) the price
of a piece of n bought singly, and t(k) the price of kit k by that of its contents bought singly (at
most 1), let y(n) be p(n) times the least t(k) of the kits that have n. No kit's contents, priced at
y, exceed the kit's price. The remaining parts therefore cost at least the sum of y (weak duality of
linear programmes).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

from fitsolver.allotment.supply import sold
from fitsolver.choices.selection import Bought
from fitsolver.fits import availability
from fitsolver.records.base import Level
from fitsolver.records.catalogue import Catalogue, Kit, Sold

#: After this many steps the search returns the best purchase so far.
_MOST: Final = 20_000
#: Above the pieces of one number that any job takes.
_MANY: Final = 10**6
#: Scale of price shares, which are rounded down.
_SCALE: Final = 1 << 20


class Purchase(NamedTuple):
    """The parts bought, their cost, and the days until the last of them arrives."""

    kits: dict[str, Bought]
    singles: dict[str, Bought]
    price: int
    days: int


class Buyer:
    """Buys for jobs of one catalogue; `latest` is the longest lead time allowed, in days."""

    def __init__(self, catalogue: Catalogue) -> None:
        self.sold: dict[str, Sold] = {item.number: item for item in sold(catalogue)}
        self.kits = sorted(
            (kit for kit in catalogue.kits if kit.price is not None), key=lambda kit: kit.number
        )
        self.of_number: dict[str, list[Kit]] = {}
        for kit in self.kits:
            for item in kit.contents:
                self.of_number.setdefault(item.number, []).append(kit)

    def best(
        self,
        wanted: Mapping[str, int],
        stock: Mapping[str, int],
        latest: int,
        order: Sequence[Level],
        given: Mapping[str, int] | None = None,
        most: int | None = None,
    ) -> Purchase | None:
        """Return the best purchase of parts by the levels, then by part number; None without one.

        It costs at most `most`, if given. `given` are the kits of a known purchase.
        """
        ranked = [level for level in order if level in ("price", "days")]
        look = _Look(self, wanted, stock, latest, ranked, most)
        if given:
            look.buy(given)
        look.run()
        return None if look.best is None else look.best[1]


class _Look:
    """The search for the best purchase, kit by kit."""

    def __init__(
        self,
        buyer: Buyer,
        wanted: Mapping[str, int],
        stock: Mapping[str, int],
        latest: int,
        ranked: Sequence[Level],
        most: int | None,
    ) -> None:
        self.wanted, self.stock, self.latest = wanted, stock, latest
        self.ranked, self.most = ranked, most
        self.sold = buyer.sold
        useful = {kit.number: kit for n in wanted for kit in buyer.of_number.get(n, ())}
        self.kits = [
            (kit, [(i.number, i.count) for i in kit.contents if wanted.get(i.number, 0) > 0])
            for _, kit in sorted(useful.items())
        ]
        self.numbers = [*(kit.number for kit, _ in self.kits), *sorted(wanted)]
        self.prices = {number: self.sold[number].price for number in wanted}
        self.singly = {number: self._most_of(number) for number in wanted}
        self.rest = self._rest()
        self.steps = 0
        self.best: tuple[tuple[tuple[int, ...], list[tuple[int, int]]], Purchase] | None = None

    def run(self) -> None:
        """Search all purchases that may be the best."""
        self._from(0, dict(self.wanted), {}, 0, 0)

    def _from(
        self, at: int, need: dict[str, int], kits: dict[str, int], price: int, days: int
    ) -> None:
        self.steps += 1
        if self.steps > _MOST or not self._may_do(at, need, kits, price, days):
            return
        if at == len(self.kits):
            self.buy(kits)
            return
        kit, contents = self.kits[at]
        useful = max((-(-need[number] // count) for number, count in contents), default=0)
        for pieces in range(min(useful, self._most_of(kit.number)) + 1):
            if not pieces:
                self._from(at + 1, need, kits, price, days)
                continue
            less = dict(need)
            for number, count in contents:
                less[number] = max(0, less[number] - pieces * count)
            late = kit.lead_days or 0 if pieces > self.stock.get(kit.number, 0) else 0
            self._from(
                at + 1,
                less,
                {**kits, kit.number: pieces},
                price + pieces * (kit.price or 0),
                max(days, late),
            )

    def _may_do(
        self, at: int, need: Mapping[str, int], kits: Mapping[str, int], price: int, days: int
    ) -> bool:
        """Tell whether the remaining parts can be bought, no worse than the best so far."""
        value, brings = self.rest[at]
        if any(count > self.singly[n] + brings[n] for n, count in need.items()):
            return False
        price += -(-sum(count * value[n] for n, count in need.items()) // _SCALE)
        if self.most is not None and price > self.most:
            return False
        if self.best is None:
            return True
        levels = tuple(price if level == "price" else days for level in self.ranked)
        known, slots = self.best[0]
        if levels != known:
            return levels < known
        return self._slots(kits, at) <= slots[:at]

    def _slots(self, kits: Mapping[str, int], count: int) -> list[tuple[int, int]]:
        """Return what the part number goes by of the first kits: what is ordered, from stock."""
        found = []
        for kit, _ in self.kits[:count]:
            pieces = kits.get(kit.number, 0)
            here = min(pieces, self.stock.get(kit.number, 0))
            found.append((pieces - here, here))
        return found

    def _rest(self) -> list[tuple[dict[str, int], dict[str, int]]]:
        """Return, from each kit on, the least cost of a piece and the pieces in kits."""
        value = {number: (price or 0) * _SCALE for number, price in self.prices.items()}
        brings = dict.fromkeys(self.wanted, 0)
        found = [(dict(value), dict(brings))]
        for kit, contents in reversed(self.kits):
            full = sum(count * (self.prices[number] or 0) for number, count in contents)
            share = min(_SCALE, (kit.price or 0) * _SCALE // full) if full else _SCALE
            most = self._most_of(kit.number)
            for number, count in contents:
                value[number] = min(value[number], (self.prices[number] or 0) * share)
                brings[number] += most * count
            found.append((dict(value), dict(brings)))
        return found[::-1]

    def _most_of(self, number: str) -> int:
        """Return how many pieces of a number can be bought."""
        article = self.sold[number]
        if article.price is None:
            return 0
        if availability.can_order(article) and (article.lead_days or 0) <= self.latest:
            return _MANY
        return self.stock.get(number, 0)

    def buy(self, kits: Mapping[str, int]) -> None:
        """Buy these kits and the rest singly, if they arrive in time and beat the best so far."""
        need = Counter(self.wanted)
        for number, count in kits.items():
            kit = self.sold[number]
            assert isinstance(kit, Kit)
            for item in kit.contents:
                need[item.number] -= count * item.count
        price = days = 0
        bought: tuple[dict[str, Bought], dict[str, Bought]] = {}, {}
        for pile, some in ((bought[0], kits), (bought[1], need)):
            for number, count in some.items():
                if count <= 0:
                    continue
                if count > self._most_of(number):
                    return
                article = self.sold[number]
                here = min(count, self.stock.get(number, 0))
                pile[number] = Bought(here, count - here)
                price += count * (article.price or 0)
                days = max(days, (article.lead_days or 0) if here < count else 0)
        if self.most is not None and price > self.most:
            return
        levels = tuple(price if level == "price" else days for level in self.ranked)
        each = {**bought[0], **bought[1]}
        slots = [(one.ordered, one.stock) for n in self.numbers for one in [each.get(n, Bought())]]
        rank = levels, slots
        if self.best is None or rank < self.best[0]:
            self.best = rank, Purchase(*bought, price, days)
