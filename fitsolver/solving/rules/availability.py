"""`availability`: parts taken are in hand, in stock, on order or in a kit, in time and budget."""

from __future__ import annotations

from collections import defaultdict

from ortools.sat.python import cp_model

from fitsolver.solving.terms import Expr, total
from fitsolver.solving.variables import Model, Taker, demand


def post(model: Model) -> None:
    """Post supply and demand of every part, the price, and the days until all is done."""
    _pieces_once(model)
    from_kits = _from_kits(model)
    for number, takers in demand(model).items():
        _supplied(model, number, takers, from_kits[number])
    model.price = _price(model)
    model.days = _days(model)
    terms = model.job.terms
    if terms.budget is not None:
        model.cp.add(model.price <= terms.budget)
    if terms.needed_in_days is not None:
        model.cp.add(model.days <= terms.needed_in_days)


def _pieces_once(model: Model) -> None:
    """A measured or kept piece in hand serves one place."""
    takers: dict[tuple[str, str], list[cp_model.IntVar]] = defaultdict(list)
    for cylinder in model.cylinders:
        for option, x in cylinder.options:
            takers[option.piston.candidate.key].append(x)
        for rings in cylinder.rings.values():
            for ring, y in rings:
                takers[ring.candidate.key].append(y)
    for (_, piece), variables in takers.items():
        if piece and len(variables) > 1:
            model.cp.add_at_most_one(variables)


Terms = list[tuple[int, cp_model.IntVar]]


def _from_kits(model: Model) -> dict[str, Terms]:
    """Return the pieces that the kits bring, by part number."""
    found: dict[str, Terms] = defaultdict(list)
    for kit in model.catalogue.kits:
        if kit.number not in model.kits:
            continue  # nothing in it is wanted
        bought = model.kits[kit.number]
        for item in kit.contents:
            found[item.number] += [(item.count, bought.stock), (item.count, bought.ordered)]
    return found


def _supplied(model: Model, number: str, takers: list[Taker], from_kits: Terms) -> None:
    """`reserved used + loose in hand + singles + from kits >= demand`."""
    supply: Terms = list(from_kits)
    by_cylinder: dict[str, list[tuple[int, cp_model.IntVar]]] = defaultdict(list)
    for taker in takers:
        by_cylinder[taker.cylinder].append((1, taker.variable))
    for name, taken in by_cylinder.items():
        reserved = model.shelf.reserved.get((name, number), 0)
        if reserved:
            used = model.cp.new_int_var(0, reserved, "")
            model.cp.add(used <= total(taken))
            supply.append((1, used))
    single = model.singles[number]
    supply += [(1, single.stock), (1, single.ordered)]
    taken = [(1, taker.variable) for taker in takers]
    loose = model.shelf.loose.get(number, 0)
    model.cp.add(total(supply) + loose >= total(taken))


def _price(model: Model) -> Expr:
    bought = [
        (supply.sold.price or 0, variable)
        for supply in model.supply()
        for variable in (supply.stock, supply.ordered)
    ]
    routes = [
        (option.route.route.cost, x)
        for cylinder in model.cylinders
        for option, x in cylinder.options
    ]
    return total(bought + routes)


def _days(model: Model) -> Expr:
    """Work on the bore follows delivery when the piston must be in hand, else runs in parallel."""
    follows = model.job.finishing == "piston in hand"
    leads = sorted({supply.sold.lead_days or 0 for supply in model.supply()})
    work_days = sorted(
        {option.route.route.days for cylinder in model.cylinders for option, _ in cylinder.options}
    )
    parts = _last_part(model, leads)
    work = model.cp.new_int_var(0, max(work_days, default=0), "")
    for cylinder in model.cylinders:
        model.cp.add(
            work >= total([(option.route.route.days, x) for option, x in cylinder.options])
        )
    if follows:
        return parts + work
    days = model.cp.new_int_var(0, max(*leads, *work_days, 0, 0), "")
    model.cp.add(days >= parts)
    model.cp.add(days >= work)
    return days


def _last_part(model: Model, leads: list[int]) -> cp_model.IntVar:
    """The longest lead time among what is ordered."""
    parts = model.cp.new_int_var(0, max(leads, default=0), "")
    for lead in leads:
        ordered = [s.ordered for s in model.supply() if s.sold.lead_days == lead]
        if not lead or not ordered:
            continue
        any_ordered = model.cp.new_bool_var("")
        for variable in ordered:
            model.cp.add(variable == 0).only_enforce_if(~any_ordered)
        model.cp.add(parts >= lead * any_ordered)
    return parts
