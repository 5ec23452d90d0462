"""Lower bounds on the price and the days of a job's plans, by addition alone.

Each number gets a value per piece: at most its single price, with the sum over a kit's contents at
most the kit's price. These values are a feasible solution of the dual of the purchase problem. So
the value of a plan's parts is a lower bound on its price (weak duality; Dantzig 1963, Linear
Programming and Extensions, chapter 6).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from math import inf
from typing import NamedTuple

from fitsolver.choices.options import options
from fitsolver.choices.parts import Candidate, RingClass
from fitsolver.choices.ring_options import ring_options
from fitsolver.choices.types import CylinderChoices, Option
from fitsolver.fits.availability import can_order, from_stock, ready_in
from fitsolver.records.catalogue import Catalogue, Sold
from fitsolver.solving.possible import OWN_RULES
from fitsolver.solving.problem import Problem


class LeastTerms(NamedTuple):
    """Lower bounds on the `price` (hundredths) and the `days` of any plan; inf: no plan exists."""

    price: float
    days: float


def least_terms(task: Problem) -> LeastTerms:
    """Return lower bounds on price and days, without the coupling rules."""
    parts = _Parts.of(task)
    each = [_of_cylinder(task, state, parts) for state in task.cylinders]
    price = sum(one.price for one in each)
    for place in task.job.gaskets:
        gaskets = (g.number for g in task.catalogue.gaskets if g.place == place.place)
        least = min((parts.values.get(number, inf) for number in gaskets), default=inf)
        times = 1 if place.shared else len(task.cylinders)
        price += times * place.least * least if place.least else 0
    return LeastTerms(price, max(one.days for one in each))


class _Parts(NamedTuple):
    """By number: a lower bound on the value of a piece and on its delivery days."""

    values: Mapping[str, float]
    days: Mapping[str, float]

    @classmethod
    def of(cls, task: Problem) -> _Parts:
        catalogue = task.catalogue
        articles = (*catalogue.pistons, *catalogue.rings, *catalogue.gaskets)
        days = {article.number: _days(article) for article in articles}
        for kit in catalogue.kits:
            for item in kit.contents:
                days[item.number] = min(days.get(item.number, inf), _days(kit))
        values = _values(catalogue)
        held = {*task.shelf.loose, *(number for _, number in task.shelf.reserved)}
        nothing = dict.fromkeys(held, 0.0)
        return cls({**values, **nothing}, {**days, **nothing})

    def price(self, candidate: Candidate) -> float:
        return 0.0 if candidate.piece else self.values[candidate.part.number]

    def wait(self, candidate: Candidate) -> float:
        return 0.0 if candidate.piece else self.days[candidate.part.number]


def _values(catalogue: Catalogue) -> dict[str, float]:
    """Return a lower bound on the value of each number (hundredths); inf: not sold."""
    kits = [kit for kit in catalogue.kits if _price(kit) < inf]
    articles = (*catalogue.pistons, *catalogue.rings, *catalogue.gaskets)
    worth = {article.number: _price(article) for article in articles}
    only_in_kits = {number for number, price in worth.items() if price == inf}
    for kit in kits:  # starts at the kit's whole price, shared out below
        for number in only_in_kits.intersection(item.number for item in kit.contents):
            worth[number] = max(_price(kit), worth[number] if worth[number] < inf else 0)
    values = dict(worth)
    for kit in kits:
        price, contents = _price(kit), sum(item.count * worth[item.number] for item in kit.contents)
        if contents > price:
            for item in kit.contents:
                share = price * worth[item.number] // contents
                values[item.number] = min(values[item.number], share)
    return values


def _price(sold: Sold) -> float:
    """Return the price of one; inf where none can be bought."""
    return inf if sold.price is None or _days(sold) == inf else sold.price


def _days(sold: Sold) -> float:
    """Return the shortest delivery in days; inf where none can be bought."""
    if from_stock(sold):
        return 0
    return sold.lead_days or 0 if can_order(sold) else inf


def _of_cylinder(task: Problem, state: CylinderChoices, parts: _Parts) -> LeastTerms:
    offered = options(state, OWN_RULES)
    rings: dict[tuple[RingClass, int], list[Candidate]] = defaultdict(list)
    for ring in ring_options(state, offered, task.shelf.rings, OWN_RULES):
        rings[ring.ring_class, ring.groove].append(ring.candidate)
    of_rings = {}
    for each in {option.piston.ring_class for option in offered}:
        grooves = [rings[each, groove.number] for groove in each.grooves]
        of_rings[each] = LeastTerms(
            sum(min(map(parts.price, found), default=inf) for found in grooves),
            max((min(map(parts.wait, found), default=inf) for found in grooves), default=0),
        )
    plans = list(_plans(task, offered, of_rings, parts))
    return LeastTerms(
        min((plan.price for plan in plans), default=inf),
        min((plan.days for plan in plans), default=inf),
    )


def _plans(
    task: Problem,
    offered: tuple[Option, ...],
    of_rings: Mapping[RingClass, LeastTerms],
    parts: _Parts,
) -> Iterator[LeastTerms]:
    for option in offered:
        piston, route = option.piston.candidate, option.route.route
        rings = of_rings[option.piston.ring_class]
        waits = parts.wait(piston), rings.days
        days = inf if inf in waits else ready_in(task.job.finishing, map(int, waits), [route.days])
        yield LeastTerms(parts.price(piston) + rings.price + route.cost, days)
