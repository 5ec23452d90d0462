"""Articles of a list that the others of their kind contradict: a price that is out of line."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from statistics import median
from typing import Final

from fitsolver.records.amounts import amount
from fitsolver.records.intake import Article, Unclear

#: A family's prices of one kind lie close together where this share of them is within a third
#: of their median; then one this many times the median, or a part of it, is out of line.
_CLOSE: Final = 0.7
_THIRD: Final = (0.75, 1.34)
_OUT: Final = 1.75
_FEWEST: Final = 4
#: How many times the next price of its kind in the whole list the largest or smallest may be.
_FAR_OUT: Final = 30


def without_doubts(articles: Sequence[Article]) -> tuple[list[Article], list[Unclear]]:
    """Return the articles that nothing contradicts, and the others as rows that are not taken in.

    A kit at twice to four times the price of its sisters may be a set for several cylinders.
    """
    groups: dict[tuple[str, str], list[Article]] = defaultdict(list)
    for item in articles:
        if item.price and item.kind in ("piston kit", "piston", "rings"):
            groups[item.family, item.kind].append(item)
    out: dict[str, str] = {}
    for members in groups.values():
        prices = [item.price or 0 for item in members]
        middle = median(prices)
        low, high = _THIRD[0] * middle, _THIRD[1] * middle
        close = sum(low <= price <= high for price in prices)
        if len(members) < _FEWEST or close < _CLOSE * len(members):
            continue
        for item in members:
            if not middle / _OUT < (item.price or 0) < middle * _OUT:
                usual = amount(int(middle))
                out[item.number] = f"its price is out of line: others of its kind cost {usual}"
    out |= dict(_far_out(articles))
    left = [
        Unclear(
            sheet=item.sheet, row=item.row, number=item.number, description=item.description,
            field="price", reason=out[item.number],
        )
        for item in articles
        if item.number in out
    ]  # fmt: skip
    return [item for item in articles if item.number not in out], left


def _far_out(articles: Sequence[Article]) -> Iterator[tuple[str, str]]:
    """Yield the number whose price is far beyond all others of its kind: a mark left out."""
    kinds: dict[str, list[Article]] = defaultdict(list)
    for item in articles:
        if item.price:
            kinds[item.kind].append(item)
    for members in kinds.values():
        by_price = sorted(members, key=lambda item: item.price or 0)
        if len(by_price) < _FEWEST:
            continue
        for item, other in (by_price[:2], by_price[:-3:-1]):
            low, high = sorted((item.price or 0, other.price or 0))
            if high > _FAR_OUT * low:
                near = amount(other.price or 0)
                yield item.number, f"its price is out of line: the next of its kind costs {near}"
