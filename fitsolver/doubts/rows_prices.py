"""Implausible prices, stocks and lead times.

All bounds are common practice, no source (docs/doubts.md lists them).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from statistics import median
from typing import Final

from fitsolver.doubts.finding import Finding, money
from fitsolver.doubts.sisters import FEWEST
from fitsolver.records.catalogue import Catalogue, Kit, Sold
from fitsolver.records.review import Table

#: A price above four times, or below a quarter of, the median of its table and kind.
PRICE_TIMES: Final = 4
#: Twice the dearest, or less than half the cheapest, of the other rows alike in every figure.
KIND_TIMES: Final = 2
#: A kit for more than twice, or less than an eighth, of what its parts cost singly.
KIT_MOST: Final = 2
KIT_LEAST: Final = 8
#: More than 10,000 pieces on a shelf, a lead time above two years.
STOCK_MOST: Final = 10_000
LEAD_MOST: Final = 730


def prices(catalogue: Catalogue) -> Iterator[Finding]:
    """Yield implausible prices, stocks and lead times of all articles."""
    kinds: dict[tuple[Table, object], list[Sold]] = defaultdict(list)
    kinds["pistons", ""] += catalogue.pistons
    for ring in catalogue.rings:
        kinds["rings", ring.grooves].append(ring)
    for gasket in catalogue.gaskets:
        kinds["gaskets", gasket.place].append(gasket)
    for (table, _), sisters in kinds.items():
        yield from _prices(table, sisters)
    singles = {part.number: part.price for each in kinds.values() for part in each}
    for kit in catalogue.kits:
        yield from _of_kit(kit, singles)
    kinds["kits", ""] += catalogue.kits
    for (table, _), articles in kinds.items():
        yield from _supply(table, articles)


def _prices(table: Table, sisters: Sequence[Sold]) -> Iterator[Finding]:
    priced = [part for part in sisters if part.price]
    if len(priced) <= FEWEST:
        return
    middle = round(median(part.price or 0 for part in priced))
    for part in priced:
        assert part.price is not None
        if part.price > PRICE_TIMES * middle or part.price * PRICE_TIMES < middle:
            text = f"{money(part.price)}; about {money(middle)} is expected, as in its sister rows"
            yield Finding(table, part.number, "price", text)


def of_one_kind(table: Table, sisters: Sequence[Sold]) -> Iterator[Finding]:
    """Yield implausible prices among rows of one kind, which differ only in size."""
    prices = sorted(part.price for part in sisters if part.price)
    if len(prices) <= FEWEST:
        return
    for part in sisters:
        if not part.price:
            continue
        least = prices[1] if part.price == prices[0] else prices[0]
        most = prices[-2] if part.price == prices[-1] else prices[-1]
        if part.price * KIND_TIMES < least or part.price > KIND_TIMES * most:
            text = f"{money(part.price)}; {money(least)} to {money(most)} is expected, as in its "
            yield Finding(table, part.number, "price", text + "sister rows")


def _of_kit(kit: Kit, singles: Mapping[str, int | None]) -> Iterator[Finding]:
    parts = [(singles.get(item.number), item.count) for item in kit.contents]
    if not kit.price or any(price is None for price, _ in parts):
        return
    singly = sum((price or 0) * count for price, count in parts)
    if kit.price > KIT_MOST * singly or kit.price * KIT_LEAST < singly:
        text = f"{money(kit.price)} for parts that cost {money(singly)} singly"
        yield Finding("kits", kit.number, "price", text)


def _supply(table: Table, articles: Sequence[Sold]) -> Iterator[Finding]:
    for article in articles:
        if article.stock > STOCK_MOST:
            text = f"{article.stock} pieces on the shelf; at most {STOCK_MOST} are expected"
            yield Finding(table, article.number, "stock", text)
        if article.lead_days is not None and article.lead_days > LEAD_MOST:
            text = f"{article.lead_days} days; at most {LEAD_MOST} are expected"
            yield Finding(table, article.number, "lead_days", text)
