"""Check of `availability`: the order list brings every part taken, in time and in budget."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from fitsolver.checking.view import PlanView
from fitsolver.records.catalogue import Sold
from fitsolver.records.plan import OrderLine


def violations(view: PlanView) -> Iterator[str]:
    """Yield every part that is unavailable, short or late, and a price above the budget."""
    pieces = Counter(key for key in _taken(view) if key[1])
    yield from (f"{number}, {piece}: used twice" for (number, piece), n in pieces.items() if n > 1)
    yield from _enough(view)
    lines = Counter((line.number, line.source) for line in view.plan.order)
    yield from (f"{number}: listed twice" for (number, _), n in lines.items() if n > 1)
    for line in view.plan.order:
        yield from _line(view, line)
    yield from _terms(view)


def _taken(view: PlanView) -> Iterator[tuple[str, str]]:
    for item in view.cylinders:
        for candidate in item.candidates:
            yield candidate.key


def _demand(view: PlanView) -> Counter[str]:
    """Return how many of each number the plan takes, pieces in hand included."""
    found = Counter(number for number, _ in _taken(view))
    shared = {place.place for place in view.job.gaskets if place.shared}
    for index, item in enumerate(view.cylinders):
        for gasket, count in item.gaskets:
            if gasket.place not in shared or index == 0:
                found[gasket.number] += count
    return found


def _enough(view: PlanView) -> Iterator[str]:
    supply: Counter[str] = Counter()
    kits = {kit.number: kit for kit in view.catalogue.kits}
    for line in view.plan.order:
        if line.number in kits:
            for content in kits[line.number].contents:
                supply[content.number] += line.count * content.count
        else:
            supply[line.number] += line.count
    for number, wanted in _demand(view).items():
        if supply[number] < wanted:
            yield f"{number}: {wanted} taken, {supply[number]} on the order list"


def _line(view: PlanView, line: OrderLine) -> Iterator[str]:
    catalogue = view.catalogue
    articles: tuple[Sold, ...] = (
        *catalogue.kits,
        *catalogue.pistons,
        *catalogue.rings,
        *catalogue.gaskets,
    )
    article = next((article for article in articles if article.number == line.number), None)
    if article is None or line.what != type(article).__name__.lower():
        yield f"{line.number}: no such {line.what} in the catalogue"
        return
    if line.source == "in hand":
        if line.count > min(sum(_held(view, line.number)), _demand(view)[line.number]):
            yield f"{line.number}: more than there is in hand, or than is taken"
        if line.price_each or line.price or line.days:
            yield f"{line.number}: in hand, and yet it costs money or time"
        return
    if article.price is None:
        yield f"{line.number}: not sold singly"
    elif (line.price_each, line.price) != (article.price, article.price * line.count):
        yield f"{line.number}: the price is not the catalogue's"
    if line.source == "stock" and line.days:
        yield f"{line.number}: in stock, and yet it takes days"
    if line.source == "stock" and line.count > article.stock:
        yield f"{line.number}: more than there is in stock"
    if line.source == "order" and (article.lead_days is None or line.days != article.lead_days):
        yield f"{line.number}: cannot be ordered in that time"


def _held(view: PlanView, number: str) -> Iterator[int]:
    """Yield the pieces in hand of one number: those listed, and those pinned and measured."""
    for held in view.job.in_hand:
        if held.number == number:
            yield held.count
    for cylinder in view.job.cylinders:
        measured = cylinder.piston_size is not None or cylinder.piston_mass is not None
        if cylinder.piston == number and (measured or cylinder.piston_kept):
            yield 1


def _terms(view: PlanView) -> Iterator[str]:
    plan, terms = view.plan, view.job.terms
    parts = sum(line.price for line in plan.order)
    work = sum(item.route.cost for item in view.cylinders)
    if (plan.parts_price, plan.route_price, plan.price) != (parts, work, parts + work):
        yield "the price is not the sum of the order list and the routes"
    lead = max((line.days for line in plan.order), default=0)
    longest = max((item.route.days for item in view.cylinders), default=0)
    waits = view.job.finishing == "piston in hand"
    if plan.days != (lead + longest if waits else max(lead, longest)):
        yield "the days are not those of parts and work"
    if terms.budget is not None and plan.price > terms.budget:
        yield "the price exceeds the budget"
    if terms.needed_in_days is not None and plan.days > terms.needed_in_days:
        yield "it takes longer than there is time"
