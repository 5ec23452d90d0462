"""How the parts of a job are bought: in kits and singly, from the shelf first.

For jobs whose parts are all bought: none are in hand, and there is no budget.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import product
from math import prod
from typing import Final, NamedTuple

from fitsolver.allotment.supply import sold
from fitsolver.fits import availability
from fitsolver.records.base import Level
from fitsolver.records.catalogue import Catalogue, Kit, Sold
from fitsolver.selection import Bought

#: With more ways to combine kits than this only those without one, or as given, are looked at.
_MOST: Final = 20_000


class Purchase(NamedTuple):
    """What is bought, what it costs, and the days until the last of it is there."""

    kits: dict[str, Bought]
    singles: dict[str, Bought]
    price: int
    days: int


class Buyer:
    """Buys for jobs of one catalogue; `latest` is how long what is ordered may take."""

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

        It costs no more than `most`, where that is given.

        `given` are kits of a purchase that is known, for a job with too many ways to combine them.
        """
        ranked = [level for level in order if level in ("price", "days")]
        numbers = [*(kit.number for kit in self.kits), *sorted(wanted)]
        best: tuple[tuple[tuple[int, ...], list[tuple[int, int]]], Purchase] | None = None
        for kits in self._combined(wanted, given):
            found = self._bought(wanted, kits, stock, latest)
            if found is None or (most is not None and found.price > most):
                continue
            levels = tuple(found.price if level == "price" else found.days for level in ranked)
            rank = levels, _slots(found, numbers)
            if best is None or rank < best[0]:
                best = rank, found
        return None if best is None else best[1]

    def _combined(
        self, wanted: Mapping[str, int], given: Mapping[str, int] | None
    ) -> Iterator[dict[str, int]]:
        useful: dict[str, int] = {}
        for number, count in wanted.items():
            for kit in self.of_number.get(number, ()):
                each = next(item.count for item in kit.contents if item.number == number)
                useful[kit.number] = max(useful.get(kit.number, 0), -(-count // each))
        if prod(most + 1 for most in useful.values()) > _MOST:
            yield {}
            if given:
                yield dict(given)
            return
        for counts in product(*(range(most + 1) for most in useful.values())):
            yield {number: count for number, count in zip(useful, counts, strict=True) if count}

    def _bought(
        self,
        wanted: Mapping[str, int],
        kits: Mapping[str, int],
        stock: Mapping[str, int],
        latest: int,
    ) -> Purchase | None:
        need = Counter(wanted)
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
                article = self.sold[number]
                if article.price is None:
                    return None
                here = min(count, stock.get(number, 0))
                pile[number] = Bought(here, count - here)
                price += count * article.price
                if here < count:
                    if not availability.can_order(article) or (article.lead_days or 0) > latest:
                        return None
                    days = max(days, article.lead_days or 0)
        return Purchase(*bought, price, days)


def _slots(found: Purchase, numbers: Sequence[str]) -> list[tuple[int, int]]:
    """Return what the part number goes by: of each number what is ordered, then from stock."""
    bought = {**found.kits, **found.singles}
    each = (bought.get(number, Bought()) for number in numbers)
    return [(one.ordered, one.stock) for one in each]
