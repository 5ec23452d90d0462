"""Rule `availability`: in stock or orderable, by the needed day, within the budget."""

from __future__ import annotations

from collections.abc import Iterable

from fitsolver.records.catalogue import Sold
from fitsolver.records.job import Finishing


def from_stock(article: Sold) -> int:
    """Return how many pieces can be bought off the shelf (none without a price)."""
    return 0 if article.price is None else article.stock


def can_order(article: Sold) -> bool:
    """Tell whether more can be ordered: it has a price and a lead time."""
    return article.price is not None and article.lead_days is not None


def ready_in(finishing: Finishing, parts: Iterable[int], work: Iterable[int]) -> int:
    """Return the days until everything is done.

    When the bore waits for the piston, work starts after the last part came; otherwise the
    two run side by side.
    """
    last_part, longest_work = max(parts, default=0), max(work, default=0)
    if finishing == "piston in hand":
        return last_part + longest_work
    return max(last_part, longest_work)
