"""The order list: the source, price and arrival of every part."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from functools import partial

from fitsolver.choices.parts import Candidate, Shelf
from fitsolver.choices.selection import Bought, CylinderSelection, Selection
from fitsolver.records.catalogue import Catalogue, Sold
from fitsolver.records.job import Job
from fitsolver.records.plan import OrderLine


def order_lines(
    job: Job, catalogue: Catalogue, shelf: Shelf, selection: Selection
) -> tuple[OrderLine, ...]:
    """Return kits, pistons, rings and gaskets, each by number, with its source."""
    in_hand = _in_hand(job, shelf, selection)
    kinds: tuple[tuple[str, tuple[Sold, ...]], ...] = (
        ("kit", catalogue.kits),
        ("piston", catalogue.pistons),
        ("ring", catalogue.rings),
        ("gasket", catalogue.gaskets),
    )
    return tuple(
        line
        for what, articles in kinds
        for article in sorted(articles, key=lambda article: article.number)
        for line in _lines(what, article, in_hand[article.number], _bought(selection, article))
    )


def _bought(selection: Selection, article: Sold) -> Bought:
    """Kits and parts share no numbers, so one look-up serves both."""
    number = article.number
    return selection.kits.get(number) or selection.singles.get(number) or Bought()


def _lines(what: str, article: Sold, in_hand: int, bought: Bought) -> Iterator[OrderLine]:
    of_article = partial(OrderLine, number=article.number, what=what)
    if in_hand:
        yield of_article(count=in_hand, source="in hand")
    price, days = article.price or 0, article.lead_days or 0
    if bought.stock:
        cost = price * bought.stock
        yield of_article(count=bought.stock, source="stock", price_each=price, price=cost)
    if bought.ordered:
        cost = price * bought.ordered
        yield of_article(
            count=bought.ordered, source="order", price_each=price, price=cost, days=days
        )


def _in_hand(job: Job, shelf: Shelf, selection: Selection) -> Counter[str]:
    """Return how many of each number come from pieces in hand, reserved pieces first."""
    used: Counter[str] = Counter()
    wanted: Counter[str] = Counter()
    for cylinder, chosen in zip(job.cylinders, selection.cylinders, strict=True):
        for number, count in demand(job, chosen, used).items():
            reserved = min(count, shelf.reserved.get((cylinder.name, number), 0))
            used[number] += reserved
            wanted[number] += count - reserved
    for place in job.gaskets:
        if place.shared:
            wanted.update(selection.cylinders[0].stacks[place.place])
    for number, count in wanted.items():
        used[number] += min(count, shelf.loose.get(number, 0))
    return used


def demand(job: Job, chosen: CylinderSelection, pieces: Counter[str]) -> Counter[str]:
    """Return the unmeasured parts a cylinder takes for itself; count its pieces in `pieces`."""
    found: Counter[str] = Counter()
    candidates: tuple[Candidate, ...] = (
        chosen.option.piston.candidate,
        *(ring.candidate for ring in chosen.rings.values()),
    )
    for candidate in candidates:
        (pieces if candidate.piece else found)[candidate.part.number] += 1
    for place in job.gaskets:
        if not place.shared:
            found.update(chosen.stacks[place.place])
    return found
