"""Rule `port_timing`: the crank angle at which the crown's edge passes a port's upper edge.

`s = top - deck` with `deck = base - head step - compression height + gaskets under the cylinder`
(plain geometry); the angle follows from the travel s by the slider crank and rises with it.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, NamedTuple

from fitsolver.fits.slider_crank import angles_for, least_travel, most_travel
from fitsolver.records.base import Range
from fitsolver.records.job import Squish
from fitsolver.records.windows import HALF_TURN

#: The place whose gaskets lie under the cylinder: they raise its top face from the crank.
UNDER_THE_CYLINDER: Final = "base"


class Timed(NamedTuple):
    """A port's upper edge (depth, ticks) and the travel at which it may be passed (ticks)."""

    top: int
    least: int
    most: int


def timed(top: int, low: int | None, high: int | None, stroke: int, rod: int) -> Timed:
    """Return the travels that a window of `low` to `high` (thousandths of a degree) permits.

    An edge that is not given still asks that the crown passes the port. Both ends are rounded
    inwards.
    """
    return Timed(
        top=top,
        least=least_travel(max(low or 0, 0), stroke, rod),
        most=stroke if high is None or high >= HALF_TURN else most_travel(high, stroke, rod),
    )


def deck(base: Squish, compression_height: Range, under: Range) -> Range:
    """Return how far the crown lies below the cylinder's top face (ticks; negative: above it).

    `under` is the compressed thickness of the gaskets under the cylinder.
    """
    return Range(
        low=base.base_low - base.head_step - compression_height.high + under.low,
        high=base.base_high - base.head_step - compression_height.low + under.high,
    )


def base_bounds(
    base: Squish, compression_height: Range, ports: Iterable[Timed]
) -> tuple[int | None, int | None]:
    """Return the least and the most permitted thickness of the gaskets under the cylinder (ticks).

    The first holds for their least thickness, the second for their most; None without ports.
    """
    bare = deck(base, compression_height, Range(low=0, high=0))
    asked = [(port.top - port.most - bare.low, port.top - port.least - bare.high) for port in ports]
    if not asked:
        return None, None
    return max(low for low, _ in asked), min(high for _, high in asked)


def opening(top: int, crown: Range, stroke: int, rod: int) -> Range:
    """Return the least and most angle (thousandths of a degree, rounded outwards) of opening.

    Just outside of 0 to 180 degrees where the crown never stands at the port's edge.
    """
    first, last = top - crown.high, top - crown.low
    return Range(
        low=angles_for(min(first, stroke), stroke, rod)[0] if first >= 0 else -1,
        high=angles_for(max(last, 0), stroke, rod)[1] if last <= stroke else HALF_TURN + 1,
    )
