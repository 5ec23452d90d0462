"""Sizes that no engine can have, and the size that was probably meant.

The bounds are common practice, no source: they are wide enough for any bore that is worth
measuring and narrow enough for a point or a unit in the wrong place.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import TICKS_PER, Unit, format_length
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.readings import Zone
from fitsolver.records.rules import LIMITS

#: The size probably meant lies this near to its neighbours (parts in 1000).
NEAR_PER_MILLE: Final = 5
#: Below the standard bore and above the largest bore of the catalogue by this much (percent).
CATALOGUE_PERCENT: Final = 20
_OF_BORES: Final = tuple(limit for limit in LIMITS if limit.of_bore)
_FACTORS: Final = (Decimal(10), Decimal("0.1"), Decimal(100), Decimal("0.01"), Decimal("25.4"))
UNIT_WORDS: Final[dict[Unit, str]] = {"mm": "mm", "um": "µm", "in": "inches", "thou": "thou"}
#: By the unit of a job: what its depths may be in instead, and how much longer they are then.
_DEPTH_UNITS: Final[dict[Unit, dict[str, Fraction]]] = {
    "mm": {"inches": Fraction("25.4"), "cm": Fraction(10)},
    "um": {"mm": Fraction(1000), "inches": Fraction(25_400)},
    "in": {"mm": 1 / Fraction("25.4"), "cm": 10 / Fraction("25.4")},
    "thou": {"inches": Fraction(1000), "mm": Fraction(1000) / Fraction("25.4")},
}


def meant(
    typed: str, neighbours: int, unit: Unit, zero: int = 0, *, within: int | None = None
) -> str:
    """Return the figure that was probably meant, as typed ("" if no guess is near).

    `zero` (ticks) is what the dial's figure adds to; `within` (ticks) how near to its neighbours
    it must come (0.5 % of them where it is left out). Tried: the point elsewhere, inch for mm, the
    other sign, two digits swapped.
    """
    try:
        value = Decimal(typed)
    except ArithmeticError:
        return ""
    swaps = [
        typed[:at] + typed[at + 1] + typed[at] + typed[at + 2 :]
        for at in range(len(typed) - 1)
        if typed[at : at + 2].isdigit() and typed[at] != typed[at + 1]
    ]
    tries = [value * factor for factor in _FACTORS] + [-value]
    tries += [Decimal(text) for text in swaps]
    near = neighbours * NEAR_PER_MILLE // 1000 if within is None else within
    for candidate in tries:
        size = zero + int(candidate * TICKS_PER[unit])
        if abs(size - neighbours) <= near:
            return f"{candidate.normalize():f}"
    return ""


def unit_of_depths(zone: Zone | None, depths: Sequence[int], unit: Unit) -> str:
    """Return the unit in which depths (ticks, read in `unit`) were probably typed; "" for none.

    It is the one in which most of them lie in the zone, and more than as they are.
    """
    if zone is None:
        return ""
    inside = _held(zone, depths, Fraction(1))
    tried = {word: _held(zone, depths, factor) for word, factor in _DEPTH_UNITS[unit].items()}
    word = max(tried, key=lambda one: tried[one], default="")
    return word if word and tried[word] > max(inside, len(depths) // 2) else ""


def _held(zone: Zone, depths: Sequence[int], factor: Fraction) -> int:
    return sum(zone.holds(round(depth * factor)) for depth in depths)


def check_readings(job: Job, catalogue: Catalogue) -> None:
    """Refuse sizes of a job that cannot belong to this catalogue's engine.

    Readings, the unworn size, the finished size, the gauge's zero and largest sizes must lie
    between 20 % below the standard bore and 20 % above the largest nominal bore.
    """
    largest = max([piston.nominal_bore for piston in catalogue.pistons] + [catalogue.standard_bore])
    low = catalogue.standard_bore * (100 - CATALOGUE_PERCENT) // 100
    high = largest * (100 + CATALOGUE_PERCENT) // 100
    for cylinder in job.cylinders:
        for place, size in _sizes(cylinder):
            _within(job, f"cylinder '{cylinder.name}'", place, size, (low, high))
    for limit in _OF_BORES:
        size = getattr(job.engine, limit.key)
        if size is not None:
            _within(job, "[engine]", limit.key, size, (low, high))


def _sizes(cylinder: Cylinder) -> Iterator[tuple[str, int]]:
    if cylinder.zero is not None:
        yield "zero", cylinder.zero.size
    for reading in cylinder.readings:
        depth = format_length(reading.depth, "mm", places=2)
        yield f"reading at depth {depth} mm, {reading.axis}", reading.size
    for field in ("unworn", "finished_size", *(limit.key for limit in _OF_BORES if limit.own)):
        size = getattr(cylinder, field)
        if size is not None:
            yield field, size


def _within(job: Job, row: str, field: str, size: int, bounds: tuple[int, int]) -> None:
    if not bounds[0] <= size <= bounds[1]:
        low, high = (format_length(bound, job.unit, symbol=True) for bound in bounds)
        raise InputError(
            "this size cannot belong to the catalogue's bores (is the unit right?)",
            file=f"job '{job.name}'",
            row=row,
            field=field,
            found=format_length(size, job.unit, symbol=True),
            allowed=f"{low} to {high}",
        )
