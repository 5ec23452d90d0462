"""The levels of the objective as expressions of the model, and the slots that break ties."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ortools.sat.python import cp_model

from fitsolver.choices.types import Option
from fitsolver.records.base import LEVELS, Level
from fitsolver.records.job import GasketPlace, Job
from fitsolver.solving.rebuilds import rebuilds_lost
from fitsolver.solving.slots import Slot
from fitsolver.solving.terms import total
from fitsolver.solving.variables import CylinderVars, Model


def level_order(job: Job) -> tuple[Level, ...]:
    """Return all levels: those the job names, then the remaining ones in the usual order."""
    return (*job.best, *(level for level in LEVELS if level not in job.best))


def level_slot(model: Model, level: Level) -> Slot:
    """Return the expression of a level that is a number (not `part_number`)."""
    return _SLOTS[level](model)


def _restored(model: Model) -> Slot:
    restored = [
        (1, x)
        for cylinder in model.cylinders
        for option, x in cylinder.options
        if option.route.route.kind == "restore"
    ]
    return Slot(total(restored), 0, len(model.cylinders) if restored else 0)


def _most_removal(cylinder: CylinderVars) -> int:
    """Return the largest removal within the options' ceilings; without one, beyond any plan."""
    most = (option.ceiling_high - option.removal_offset for option, _ in cylinder.options)
    return max(0, *most)


def _largest_removal(model: Model) -> Slot:
    most = max(_most_removal(cylinder) for cylinder in model.cylinders)
    largest = model.cp.new_int_var(0, most, "")
    for cylinder in model.cylinders:
        model.cp.add(largest >= cylinder.removal)
    return Slot(largest, 0, most)


def _total_removal(model: Model) -> Slot:
    most = sum(_most_removal(cylinder) for cylinder in model.cylinders)
    removals = [cylinder.removal for cylinder in model.cylinders]
    return Slot(cp_model.LinearExpr.sum(removals), 0, most)


def _filing(model: Model) -> Slot:
    filings = [(1, f) for cylinder in model.cylinders for f in cylinder.filing.values()]
    most = sum(
        max((ring.candidate.part.file_most for ring, _ in cylinder.rings[groove]), default=0)
        for cylinder in model.cylinders
        for groove in cylinder.filing
    )
    return Slot(total(filings), 0, most)


def _price(model: Model) -> Slot:
    return Slot(model.price, 0, _ANY_PRICE)


def _days(model: Model) -> Slot:
    return Slot(model.days, 0, _ANY_DAYS)


def _rebuilds_lost(model: Model) -> Slot:
    return Slot(*rebuilds_lost(model))


_ANY_PRICE, _ANY_DAYS = 10**12, 10**5
_SLOTS = {
    "restored": _restored,
    "largest_removal": _largest_removal,
    "total_removal": _total_removal,
    "filing": _filing,
    "price": _price,
    "days": _days,
    "rebuilds_left": _rebuilds_lost,
}


def part_number_slots(model: Model, largest_removal: int | None = None) -> list[Slot]:
    """Return the slots of the level `part_number`, most important first.

    `largest_removal` (ticks), where it is settled already, keeps the ranges of H small.

    Per cylinder: piston, route, ring by groove, stack by place; then H per cylinder; then
    kits and single parts, each ordered and from stock.
    """
    slots: list[Slot] = []
    for cylinder in model.cylinders:
        slots += _cylinder_slots(model, cylinder)
    for cylinder in model.cylinders:
        low = min(option.floor_high for option, _ in cylinder.options)
        high = max(_ceiling(option, largest_removal) for option, _ in cylinder.options)
        slots.append(Slot(cylinder.high, low, max(low, high), decides=False))
    for supply in (*model.kits.values(), *model.singles.values()):
        slots.append(Slot(supply.ordered, 0, supply.most_ordered, decides=False))
        slots.append(Slot(supply.stock, 0, supply.most_stock, decides=False))
    return [slot for slot in slots if slot.high > slot.low]


def _ceiling(option: Option, largest_removal: int | None) -> int:
    if largest_removal is None:
        return option.ceiling_high
    return min(option.ceiling_high, option.removal_offset + largest_removal)


def _cylinder_slots(model: Model, cylinder: CylinderVars) -> list[Slot]:
    options = [(option.piston.candidate.key, x) for option, x in cylinder.options]
    slots = [_ranked(options)]
    slots.append(_ranked([(option.route.route.name, x) for option, x in cylinder.options]))
    for groove in sorted(cylinder.rings):
        slots.append(_ranked([(ring.candidate.key, y) for ring, y in cylinder.rings[groove]]))
    for place in model.job.gaskets:
        if not place.shared or cylinder is model.cylinders[0]:  # a shared stack counts once
            slots += _stack_slots(place, [count for _, count in cylinder.stacks[place.place]])
    return slots


def _stack_slots(place: GasketPlace, counts: Sequence[cp_model.IntVar]) -> list[Slot]:
    """The number of gaskets, then gasket by gasket in number order the greater count."""
    number = Slot(total([(1, count) for count in counts]), place.least, place.most)
    if place.most == 1:  # then the place of the single gasket in that order suffices
        ranks = total(list(enumerate(counts)))
        return [number, Slot(ranks, 0, max(0, len(counts) - 1))]
    return [number, *(Slot(-count, -place.most, 0) for count in counts)]


def _ranked(taken: Sequence[tuple[Any, cp_model.IntVar]]) -> Slot:
    ranks = {key: rank for rank, key in enumerate(sorted({key for key, _ in taken}))}
    return Slot(total([(ranks[key], variable) for key, variable in taken]), 0, len(ranks) - 1)
