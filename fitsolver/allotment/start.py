"""A first allotment: job by job, each the best plan with what those before it left."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from fitsolver.allotment.component import Component
from fitsolver.allotment.prepare import Prepared
from fitsolver.allotment.supply import sold, with_stock
from fitsolver.records.plan import Plan
from fitsolver.selection import Bought, CylinderSelection, Selection
from fitsolver.solving.search import Clock
from fitsolver.solving.solve import best


@dataclass(frozen=True, slots=True)
class CylinderKeys:
    """What was chosen in one cylinder, by number and piece: piston with route, rings by groove."""

    option: tuple[str, str, str]
    rings: Mapping[int, tuple[str, str]]


Keys = tuple[CylinderKeys, ...]


@dataclass(frozen=True, slots=True)
class First:
    """Jobs served one by one, with their choices and pieces from stock; and those never served."""

    keys: Mapping[str, Keys]
    shares: Mapping[str, Mapping[str, int]]
    never: frozenset[str]


def one_by_one(component: Component, clock: Clock) -> First:
    """Serve the jobs in order, each as well as what is left allows; stop when the clock does."""
    left = dict(component.contested)
    keys: dict[str, Keys] = {}
    shares: dict[str, Mapping[str, int]] = {}
    never = set()
    for job in component.jobs:
        if clock.left == 0:
            break
        selection = _pick(job, left, clock)
        if selection is None:
            if clock.left != 0 and _never(job, clock):
                never.add(job.name)
            continue
        taken = {number: bought.stock for number, bought in _bought(selection)}
        shares[job.name] = {n: c for n, c in taken.items() if c}
        keys[job.name] = tuple(_keys(chosen) for chosen in selection.cylinders)
        for number, count in taken.items():
            if number in left:
                left[number] -= count
    return First(keys, shares, frozenset(never))


def _pick(job: Prepared, left: Mapping[str, int], clock: Clock) -> Selection | None:
    counts = {number: left.get(number, most) for number, most in _stock(job).items()}
    catalogue = with_stock(job.task.catalogue, counts)
    inner = Clock(clock.left)
    try:
        found = best(replace(job.task, catalogue=catalogue), inner).selection
    except KeyboardInterrupt:
        found = None
        clock.interrupt()
    if inner.interrupted:
        clock.interrupt()
    return found


def _never(job: Prepared, clock: Clock) -> bool:
    inner = Clock(clock.left)
    try:
        found = best(job.task, inner)
    except KeyboardInterrupt:
        clock.interrupt()
        return False
    if inner.interrupted:
        clock.interrupt()
    return found.selection is None and found.settled


def _stock(job: Prepared) -> dict[str, int]:
    return {item.number: item.stock for item in sold(job.task.catalogue)}


def _bought(selection: Selection) -> list[tuple[str, Bought]]:
    return [*selection.kits.items(), *selection.singles.items()]


def _keys(chosen: CylinderSelection) -> CylinderKeys:
    return CylinderKeys(
        chosen.option.key, {groove: ring.candidate.key for groove, ring in chosen.rings.items()}
    )


def keys_of(plan: Plan) -> Keys:
    """Return what a plan chose."""
    return tuple(
        CylinderKeys(
            (item.piston.number, item.piston.piece, item.route),
            {ring.groove: (ring.number, ring.piece) for ring in item.rings},
        )
        for item in plan.cylinders
    )
