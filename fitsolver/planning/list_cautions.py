"""Cautions about a list of parts: lead times it does not give, old numbers, least orders."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from fitsolver.fits.availability import from_stock

if TYPE_CHECKING:
    from fitsolver.records.catalogue import Catalogue, Sold
    from fitsolver.records.plan import Plan

#: The most numbers named; the others are counted.
_NAMED: Final = 6


def of_list(catalogue: Catalogue) -> Iterator[str]:
    """Yield the caution that nothing can be ordered from a list without lead times."""
    articles = _articles(catalogue)
    if catalogue.only_stock or any(article.lead_days is not None for article in articles):
        return
    absent = [a.number for a in articles if a.price is not None and not from_stock(a)]
    if absent:
        more = f" and {len(absent) - _NAMED} more" if len(absent) > _NAMED else ""
        yield (
            "The list gives no lead time: only what is on the shelf was chosen from. Left out: "
            f"{', '.join(absent[:_NAMED])}{more}. State lead_days in catalogue.toml, or "
            '"none" where nothing can be ordered.'
        )


def of_order(catalogue: Catalogue, plan: Plan | None) -> Iterator[str]:
    """Yield the pieces with an old number, and orders below the minimum quantity."""
    articles = {article.number: article for article in _articles(catalogue)}
    for line in () if plan is None else plan.order:
        if line.source == "stock":
            old = [
                f"{old.stock} as {old.number}"
                for old in catalogue.old_numbers
                if old.stock and catalogue.current[old.number] == line.number
            ]
            if old:
                yield f"{line.number}: of the pieces on the shelf {', '.join(old)}."
        sold = articles.get(line.number)
        least = 1 if sold is None else sold.least_order
        if line.source == "order" and line.count < least:
            more = least - line.count
            yield (
                f"{line.number}: at least {least} are sold in one order; {more} more than the plan "
                f"takes cost {line.price_each * more / 100:.2f}, which its price does not hold."
            )


def _articles(catalogue: Catalogue) -> tuple[Sold, ...]:
    return (*catalogue.kits, *catalogue.pistons, *catalogue.rings, *catalogue.gaskets)
