"""Every way to come by the parts that a choice demands: in hand, stock, ordered, kits."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import product

from fitsolver.records.catalogue import Catalogue, Kit, Sold
from fitsolver.records.job import Job

from .brute_parts import is_piece

Split = tuple[int, int]  # pieces ordered, pieces from stock


@dataclass(frozen=True)
class Purchase:
    """What is bought: per kit and per article (in number order) ordered and from stock."""

    price: int
    lead: int
    kits: tuple[Split, ...]
    singles: tuple[Split, ...]


class Shelf:
    """What can be had, beyond the pieces that are candidates of their own."""

    def __init__(self, job: Job, catalogue: Catalogue) -> None:
        articles: list[Sold] = [*catalogue.pistons, *catalogue.rings, *catalogue.gaskets]
        self.articles = sorted(articles, key=lambda article: article.number)
        self.kits = sorted(catalogue.kits, key=lambda kit: kit.number)
        self.in_hand: Counter[str] = Counter()
        self.reserved: dict[str, Counter[str]] = {c.name: Counter() for c in job.cylinders}
        for entry in job.in_hand:
            if not is_piece(entry):
                owner = self.in_hand if entry.cylinder is None else self.reserved[entry.cylinder]
                owner[entry.number] += entry.count
        self._known: dict[tuple[int, ...], list[Purchase]] = {}

    def to_buy(self, demands: dict[str, Counter[str]], shared: Counter[str]) -> tuple[int, ...]:
        """What is short per article; `demands` by cylinder, `shared` for all cylinders."""
        short = Counter(shared)
        for cylinder, demand in demands.items():
            short.update(demand - self.reserved[cylinder])
        short -= self.in_hand
        return tuple(short[article.number] for article in self.articles)

    def purchases(self, short: tuple[int, ...]) -> list[Purchase]:
        """Every way to buy what is short that can be best, cheapest first; empty when none."""
        if short not in self._known:
            self._known[short] = self._search(short)
        return self._known[short]

    def _search(self, short: tuple[int, ...]) -> list[Purchase]:
        wanted = {a.number: n for a, n in zip(self.articles, short, strict=True)}
        most = [_most(kit, wanted) for kit in self.kits]
        found = {
            purchase
            for counts in product(*(range(count + 1) for count in most))
            if (purchase := self._buy(short, counts)) is not None
        }
        return sorted(found, key=lambda p: (p.price, p.lead, p.kits, p.singles))

    def _buy(self, short: tuple[int, ...], counts: tuple[int, ...]) -> Purchase | None:
        """Buy so many kits, and singles for the rest: from stock first, the others ordered.

        Price does not tell stock from ordered, days and part number both want the fewest
        pieces ordered. So no other split can be better.
        """
        supply: Counter[str] = Counter()
        for kit, count in zip(self.kits, counts, strict=True):
            for item in kit.contents:
                supply[item.number] += count * item.count
        price, lead, splits = 0, 0, []
        rest = [
            max(0, n - supply[article.number])
            for article, n in zip(self.articles, short, strict=True)
        ]
        for sold, count in zip((*self.kits, *self.articles), (*counts, *rest), strict=True):
            split = _split(sold, count)
            if split is None:
                return None
            if split[0]:
                lead = max(lead, sold.lead_days or 0)
            price += count * (sold.price or 0)
            splits.append(split)
        return Purchase(
            price, lead, tuple(splits[: len(self.kits)]), tuple(splits[len(self.kits) :])
        )


def _split(sold: Sold, count: int) -> Split | None:
    if count == 0:
        return 0, 0
    if sold.price is None:
        return None
    ordered = max(0, count - sold.stock)
    return None if ordered and sold.lead_days is None else (ordered, count - ordered)


def _most(kit: Kit, wanted: dict[str, int]) -> int:
    """The most kits that can be of use: one more would be left over whole."""
    return max(-(-wanted.get(item.number, 0) // item.count) for item in kit.contents)
