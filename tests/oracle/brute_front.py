"""The best k plans and the front by trying everything: every plan is looked at, none cut off."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from math import prod
from typing import Any

from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job

from .brute_cylinder import PI, Option, TooManyError, options, order_of
from .brute_parts import Stack, stacks_of
from .brute_rebuilds import chain_of
from .brute_sourcing import Purchase, Shelf

#: Combinations of options that a test has time for.
MOST = 3_000

Signature = tuple[Any, ...]
Point = tuple[int, ...]


def ranked_plans(job: Job, catalogue: Catalogue) -> list[tuple[Signature, dict[str, int]]]:
    """Return the parts and the levels of the best plan of every part set, best first."""
    best: dict[Signature, tuple[Any, ...]] = {}
    for chosen, purchase, values in all_plans(job, catalogue):
        order = order_of(job)
        named = tuple(values[level] for level in order[: order.index("part_number")])
        key = (
            *named,
            tuple(option.key for option in chosen),
            tuple(option.finish.high for option in chosen),
            purchase.kits,
            purchase.singles,
        )
        parts = signature(chosen)
        if parts not in best or key < best[parts][0]:
            best[parts] = key, values
    return [(parts, entry[1]) for parts, entry in sorted(best.items(), key=lambda item: item[1][0])]


def front_points(job: Job, catalogue: Catalogue, axes: tuple[str, ...]) -> list[Point]:
    """Return the values of some levels that no plan with as few restored cylinders beats."""
    if "rebuilds_left" in axes:  # then a larger finish size may be worth it
        job = job.model_copy(update={"best": ("rebuilds_left", *named_without(job))})
    plans = [values for _, _, values in all_plans(job, catalogue)]
    if not plans:
        return []
    restored = min(values["restored"] for values in plans)
    points = {
        tuple(values[axis] for axis in axes) for values in plans if values["restored"] == restored
    }
    return sorted(p for p in points if not any(q != p and _no_worse(q, p) for q in points))


def named_without(job: Job) -> list[str]:
    """The levels that a job names but for the rebuilds left."""
    return [level for level in job.best if level != "rebuilds_left"]


def _no_worse(one: Point, other: Point) -> bool:
    return all(a <= b for a, b in zip(one, other, strict=True))


def signature(chosen: tuple[Option, ...]) -> Signature:
    """Return part numbers and routes, cylinder by cylinder."""
    return tuple(
        (
            option.piston.part.number,
            option.route.name,
            tuple(ring.part.number for ring in option.rings),
            tuple(tuple(sorted(gasket.number for gasket in stack)) for stack in option.stacks),
        )
        for option in chosen
    )


def all_plans(
    job: Job, catalogue: Catalogue
) -> Iterator[tuple[tuple[Option, ...], Purchase, dict[str, int]]]:
    """Yield every plan with its purchase and the value of every level but the part number."""
    shelf = Shelf(job, catalogue)
    counted = "rebuilds_left" in job.best
    if counted:
        most_left = min(chain_of(job, catalogue, each).most for each in job.cylinders)
    for stacks in _shared_stacks(job, catalogue):
        each = [options(job, catalogue, c, stacks, frozenset()) for c in job.cylinders]
        if prod(map(len, each)) > MOST:
            raise TooManyError
        shared = Counter(gasket.number for stack in stacks.values() for gasket in stack)
        for chosen in _together(job, each):
            demands = {c.name: o.demand for c, o in zip(job.cylinders, chosen, strict=True)}
            for purchase in shelf.purchases(shelf.to_buy(demands, shared)):
                values = _values(job, chosen, purchase)
                if counted:
                    left = min(option.left for option in chosen)
                    values["rebuilds_left"] = most_left - left
                if _within_terms(job, values):
                    yield chosen, purchase, values


def _shared_stacks(job: Job, catalogue: Catalogue) -> Iterator[dict[str, Stack]]:
    found: list[dict[str, Stack]] = [{}]
    for place in job.gaskets:
        if place.shared:
            stacks = stacks_of(catalogue, place.place, place.least, place.most)
            found = [{**so_far, place.place: stack} for so_far in found for stack in stacks]
    yield from found


def _together(job: Job, each: list[list[Option]]) -> Iterator[tuple[Option, ...]]:
    found: list[tuple[Option, ...]] = [()]
    for some in each:
        found = [(*so_far, option) for so_far in found for option in some]
    yield from (chosen for chosen in found if _agree(job, chosen))


def _agree(job: Job, chosen: tuple[Option, ...]) -> bool:
    pieces = [piece for option in chosen for piece in option.pieces]
    names = [cylinder.name for cylinder in job.cylinders]
    sets = [[chosen[names.index(name)] for name in rule.cylinders] for rule in job.same_size]
    if len(set(pieces)) < len(pieces):
        return False
    if any(len({o.piston.part.oversize for o in some}) > 1 for some in sets):
        return False
    for rule in job.mass_match:
        pistons = [chosen[names.index(name)].piston for name in rule.cylinders]
        light = [p.lightest for p in pistons if p.lightest is not None]
        heavy = [p.heaviest for p in pistons if p.heaviest is not None]
        if len(light) < len(pistons) or max(heavy) - min(light) > rule.limit:
            return False
    engine = job.engine
    if engine.displacement_limit is None or engine.stroke is None:
        return True
    bores = [option.finish.size for option in chosen] + list(engine.other_bores)
    return PI * engine.stroke * sum(bore**2 for bore in bores) <= 4 * engine.displacement_limit


def _values(job: Job, chosen: tuple[Option, ...], purchase: Purchase) -> dict[str, int]:
    work = max(option.route.days for option in chosen)
    waits = job.finishing == "piston in hand"
    return {
        "restored": sum(option.restored for option in chosen),
        "largest_removal": max(option.finish.removal for option in chosen),
        "total_removal": sum(option.finish.removal for option in chosen),
        "filing": sum(option.filing for option in chosen),
        "price": purchase.price + sum(option.route.cost for option in chosen),
        "days": purchase.lead + work if waits else max(purchase.lead, work),
    }


def _within_terms(job: Job, values: dict[str, int]) -> bool:
    budget, days = job.terms.budget, job.terms.needed_in_days
    return (budget is None or values["price"] <= budget) and (
        days is None or values["days"] <= days
    )
