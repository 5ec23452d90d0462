"""Small jobs by hand: records with everything that a case does not care about left plain.

All figures are invented. Lengths are given as text in millimetres or inches.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Final

from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue, Gasket, Groove, Piston, Ring, Route
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.readings import Reading
from fitsolver.records.windows import Window

MM: Final = 100_000
INCH: Final = 2_540_000


def mm(text: str) -> int:
    """Ticks of a length in millimetres."""
    return _ticks(text, MM)


def inch(text: str) -> int:
    """Ticks of a length in inches."""
    return _ticks(text, INCH)


def _ticks(text: str, each: int) -> int:
    ticks = Decimal(text) * each
    assert ticks == int(ticks), f"{text} is finer than a tick"
    return int(ticks)


def span(low: int, high: int) -> Range:
    return Range(low=low, high=high)


def piston(
    number: str, nominal: int, low: int, high: int | None = None, *, base: int = 0, **more: Any
) -> Piston:
    """A piston with one groove of 1.50 mm, for sale in any number at 10.00.

    `base` is the standard bore (0: it is the piston's own).
    """
    facts: dict[str, Any] = {
        "oversize": nominal - base if base else 0,
        "grooves": (groove(1),),
        "price": 1_000,
        "stock": 9,
        **more,
    }
    top = low if high is None else high
    return Piston(number=number, nominal_bore=nominal, skirt=span(low, top), **facts)


def groove(
    number: int, low: int = 150_000, high: int = 150_000, depth: int | None = None
) -> Groove:
    return Groove(number=number, width=span(low, high), depth=depth)


def ring(number: str, gauge: int, low: int, high: int | None = None, **more: Any) -> Ring:
    """A ring 1.46 mm wide for groove 1 that must not be filed, for sale in any number at 2.00."""
    facts: dict[str, Any] = {
        "grooves": (1,),
        "width": span(146_000, 146_000),
        "price": 200,
        "stock": 9,
        **more,
    }
    top = low if high is None else high
    return Ring(number=number, gauge_diameter=gauge, gap=span(low, top), **facts)


def gasket(number: str, place: str, low: int, high: int | None = None, **more: Any) -> Gasket:
    """A gasket by its compressed thickness, for sale in any number at 1.00."""
    facts: dict[str, Any] = {"thickness": low + 10_000, "crush": 10_000, "price": 100, "stock": 9}
    top = low if high is None else high
    return Gasket(number=number, place=place, compressed=span(low, top), **{**facts, **more})


def hone(half_width: int = 0, **more: Any) -> Route:
    """A finish hone without a limit to its cut, free of charge and done the same day."""
    facts: dict[str, Any] = {"name": "finish hone", "kind": "finish hone", **more}
    return Route(half_width=half_width, **facts)


def catalogue(*parts: Any, **more: Any) -> Catalogue:
    """A catalogue of pistons, rings, gaskets, kits and routes in any order."""
    kinds: dict[str, list[Any]] = {}
    for part in parts:
        kinds.setdefault(f"{type(part).__name__.lower()}s", []).append(part)
    facts: dict[str, Any] = {"standard_bore": mm("62"), **more}
    tables = {kind: tuple(table) for kind, table in kinds.items()}
    return Catalogue(name="small", family="small", **tables, **facts)


def bore(name: str, *sizes: int, **more: Any) -> Cylinder:
    """A cylinder of iron with readings across the thrust axis, 10 mm from depth to depth."""
    readings = tuple(
        Reading(depth=10 * MM * (i + 1), angle=0, size=size) for i, size in enumerate(sizes)
    )
    return Cylinder(name=name, **{"material": "iron", "readings": readings, **more})


def window(fit: Any, low: int | None, high: int | None, **more: Any) -> Window:
    return Window(fit=fit, low=low, high=high, **more)


def job(*cylinders: Cylinder, **more: Any) -> Job:
    return Job(name="small", cylinders=cylinders, **more)
