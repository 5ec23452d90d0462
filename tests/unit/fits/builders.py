"""Small parts to test with. Lengths in ticks of 10 nm; MM and UM turn figures into ticks."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from fitsolver.records.base import Range
from fitsolver.records.catalogue import Groove, Piston, Ring, Route
from fitsolver.records.windows import Limits

MM, UM = 100_000, 100
#: pi to 40 decimals, from a mathematical table; the package keeps other approximations.
PI40 = Fraction("3.1415926535897932384626433832795028841972")


def limits(low: int | None = None, high: int | None = None) -> Limits:
    return Limits(low=low, high=high)


def span(low: int, high: int | None = None) -> Range:
    return Range(low=low, high=low if high is None else high)


def piston(**fields: Any) -> Piston:
    plain = {
        "number": "P",
        "oversize": 0,
        "nominal_bore": 62 * MM,
        "skirt": span(61 * MM + 93_000, 61 * MM + 93_600),
        "price": 5000,
        "stock": 1,
        "grooves": (groove(),),
    }
    return Piston(**(plain | fields))


def groove(**fields: Any) -> Groove:
    return Groove(**({"number": 1, "width": span(203_000, 204_500), "depth": 290_000} | fields))


def ring(**fields: Any) -> Ring:
    plain = {
        "number": "R",
        "grooves": (1,),
        "gauge_diameter": 62 * MM,
        "gap": span(25_000, 38_000),
        "width": span(197_800, 199_000),
        "radial_depth": 260_000,
        "price": 900,
        "stock": 2,
    }
    return Ring(**(plain | fields))


def route(**fields: Any) -> Route:
    plain = {"name": "hone", "kind": "finish hone", "min_cut": 1_000, "max_cut": 8_000,
             "half_width": 400, "materials": ("iron",)}  # fmt: skip
    return Route(**(plain | fields))
