"""Rule `availability`: in stock or orderable, by the needed day, within the budget."""

from __future__ import annotations

from collections.abc import Iterable
from math import inf

from fitsolver.records.catalogue import Catalogue, Sold
from fitsolver.records.job import Finishing


def from_stock(article: Sold) -> int:
    """Return how many pieces can be bought off the shelf (none without a price)."""
    return 0 if article.price is None else article.stock


def can_order(article: Sold) -> bool:
    """Tell whether more can be ordered: it has a price and a lead time."""
    return article.price is not None and article.lead_days is not None


def for_sale(catalogue: Catalogue) -> dict[str, float]:
    """Return how many pieces of each part can be bought, in kits too; inf where it is ordered."""
    found: dict[str, float] = {}
    for part in (*catalogue.pistons, *catalogue.rings, *catalogue.gaskets):
        found[part.number] = inf if can_order(part) else from_stock(part)
    for kit in catalogue.kits:
        for item in kit.contents:
            more = inf if can_order(kit) else item.count * from_stock(kit)
            found[item.number] = found.get(item.number, 0) + more
    return found


def ready_in(finishing: Finishing, parts: Iterable[int], work: Iterable[int]) -> int:
    """Return the days until everything is done.

    When the bore waits for the piston, work starts after the last part came; otherwise the
    two run side by side.
    """
    last_part, longest_work = max(parts, default=0), max(work, default=0)
    if finishing == "piston in hand":
        return last_part + longest_work
    return max(last_part, longest_work)
