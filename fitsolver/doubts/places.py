"""Doubtful depths and zones: a wrong unit, a depth out of order, an axis on a depth of its own."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from itertools import groupby, pairwise
from typing import Final

from fitsolver.doubts.look import Look
from fitsolver.reading.plausible import UNIT_WORDS, unit_of_depths
from fitsolver.records.doubts import Doubt
from fitsolver.records.job import Cylinder
from fitsolver.records.readings import Reading, Zone
from fitsolver.records.told import cylinder_words

_ENOUGH: Final = 4


def doubtful_places(look: Look) -> Iterator[Doubt]:
    """Yield the doubtful zones and depths of a job."""
    yield from _zones(look)
    for cylinder in look.job.cylinders:
        if len(cylinder.readings) >= _ENOUGH:
            yield from _depths(look, cylinder)


def _zones(look: Look) -> Iterator[Doubt]:
    """A zone contains most of the depths read; otherwise zone or depths are in another unit."""
    shared = {cylinder.zone for cylinder in look.job.cylinders}
    lying: dict[str, list[Cylinder]] = {}
    for cylinder in look.job.cylinders:
        if cylinder.zone is not None and _lies_outside(cylinder):
            lying.setdefault(_zone_id(cylinder, shared), []).append(cylinder)
    for name, cylinders in lying.items():
        first = cylinders[0]
        assert first.zone is not None
        zone, depths = first.zone, _depths_of(first)
        outside = sum(not zone.holds(depth) for depth in depths)
        yield look.doubt(
            name,
            "[zone]",
            "top",
            f"{_at(zone)}found {outside} of {len(depths)} depths of "
            f"{cylinder_words([one.name for one in cylinders])} outside the zone "
            f"{look.plain(zone.top)} to {look.plain(zone.bottom)}, expected most inside"
            f"{_in_that_unit(look, first)}",
        )


def out_of_place(look: Look) -> frozenset[str]:
    """Return the cylinders whose zone or depths are doubted and not accepted."""
    shared = {cylinder.zone for cylinder in look.job.cylinders}
    return frozenset(
        cylinder.name
        for cylinder in look.job.cylinders
        if _lies_outside(cylinder) and _zone_id(cylinder, shared) not in look.job.accept
    )


def _zone_id(cylinder: Cylinder, shared: Collection[Zone | None]) -> str:
    return "zone" if len(shared) == 1 else f"zone {cylinder.name}"


def _depths_of(cylinder: Cylinder) -> list[int]:
    return sorted({reading.depth for reading in cylinder.readings})


def _lies_outside(cylinder: Cylinder) -> bool:
    """Tell whether less than half of the depths of a cylinder lie in its zone."""
    zone, depths = cylinder.zone, _depths_of(cylinder)
    inside = [depth for depth in depths if zone is not None and zone.holds(depth)]
    return zone is not None and len(depths) >= _ENOUGH - 1 and 2 * len(inside) < len(depths)


def _at(zone: Zone) -> str:
    """Return where a zone stands that is not the job's own."""
    return f"{zone.stands}: " if zone.stands else ""


def _in_that_unit(look: Look, cylinder: Cylinder) -> str:
    depths = _depths_of(cylinder)
    unit = unit_of_depths(cylinder.zone, depths, look.job.unit)
    if not unit:
        return ""
    return (
        f": the depths {look.plain(depths[0])} to {look.plain(depths[-1])} look like {unit}, and "
        f"are read in {UNIT_WORDS[look.job.unit]}; their unit may stand over them, as depth [mm]"
    )


def _depths(look: Look, cylinder: Cylinder) -> Iterator[Doubt]:
    doubted = _out_of_order(cylinder)
    why = "the depths before and after it are in order, this one is not"
    if not doubted:
        doubted = _on_their_own(look, cylinder)
        why = "it has one axis, and the axis that it lacks is read at a depth of its own"
    for reading in doubted:
        axis = reading.axis.removesuffix("°")
        yield look.doubt(
            f"depth {cylinder.name}/{look.plain(reading.depth)}/{axis}",
            f"cylinder '{cylinder.name}'",
            "depth",
            f"found a depth of {look.plain(reading.depth)} for a reading of cylinder "
            f"{cylinder.name} ({reading.axis}), expected one that fits the others: {why}",
        )


def _out_of_order(cylinder: Cylinder) -> list[Reading]:
    """Return the single reading that breaks the order of all others, as typed.

    Readings may be typed depth by depth, or one axis after the other: then each axis has an order
    of its own.
    """
    return next(filter(None, map(_breaking, _as_typed(cylinder.readings))), [])


def _as_typed(readings: Sequence[Reading]) -> list[Sequence[Reading]]:
    """Return the readings by axis where they were typed axis by axis, else all as one group."""
    by_axis = [tuple(group) for _, group in groupby(readings, key=lambda reading: reading.angle)]
    angles = {group[0].angle for group in by_axis}
    alone = len(by_axis) == len(angles) and min(map(len, by_axis), default=0) > 1
    return list(by_axis) if alone and len(angles) > 1 else [readings]


def _breaking(readings: Sequence[Reading]) -> list[Reading]:
    for turned in (readings, readings[::-1]):
        depths = [reading.depth for reading in turned]
        if _in_order(depths):
            return []
    for turned in (readings, readings[::-1]):
        depths = [reading.depth for reading in turned]
        broken = [
            index for index in range(len(depths)) if _in_order(depths[:index] + depths[index + 1 :])
        ]
        if broken:
            counts = Counter(depths)
            odd = [index for index in broken if counts[depths[index]] == 1] or broken
            return [turned[index] for index in odd[:2]]
    return []


def _in_order(depths: Sequence[int]) -> bool:
    return all(one <= other for one, other in pairwise(depths))


def _on_their_own(look: Look, cylinder: Cylinder) -> list[Reading]:
    """Return readings at depths with one axis only that together form one whole depth."""
    at: dict[int, set[int]] = {}
    for reading in cylinder.readings:
        at.setdefault(reading.depth, set()).add(reading.angle)
    usual = Counter(frozenset(axes) for axes in at.values()).most_common(1)[0]
    whole, count = usual
    if count < 2 or len(whole) < 2:
        return []
    part = {depth: axes for depth, axes in at.items() if axes < whole}
    pairs = [
        (one, other)
        for one in part
        for other in part
        if one < other and not part[one] & part[other] and part[one] | part[other] == whole
    ]
    if len(pairs) != 1 or len(part) != 2:
        return []
    known = {
        reading.depth
        for other in look.job.cylinders
        if other is not cylinder
        for reading in other.readings
    }
    odd = [depth for depth in pairs[0] if depth not in known] or list(pairs[0])
    return [reading for reading in cylinder.readings if reading.depth in odd]
