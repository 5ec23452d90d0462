"""Slider crank: how far the crown has travelled at a crank angle, and the angle for a travel.

    s = r + l - (r cos t + sqrt(l^2 - r^2 sin^2 t))

with crank radius r = stroke / 2, rod length l between centres and crank angle t from top dead
centre; no pin offset. Heywood, Internal Combustion Engine Fundamentals, eq. 2.4 to 2.6. The
inverse is the cosine rule in the triangle of crank, rod and the line between their far ends.

Reported angles are computed in floats. Decisions are not: an angle is compared by its cosine, which
for a travel in ticks is a fraction, `(S^2 + D^2 - 4 l^2) / (2 S D)` with the stroke S and `D = S +
2 l - 2 s`. The cosine of a bound in thousandths of a degree is a fraction at 0, 60, 90, 120 and 180
degrees only (Niven's theorem) and taken there exactly; elsewhere it is irrational, so no travel
lies on the bound, and it is taken from both sides to 45 decimals.
"""

from __future__ import annotations

from bisect import bisect_left
from fractions import Fraction
from functools import lru_cache
from math import acos, degrees
from typing import Final

#: Half a turn in thousandths of a degree.
_HALF_TURN: Final = 180_000
_EXACT: Final = {
    0: Fraction(1),
    60_000: Fraction(1, 2),
    90_000: Fraction(0),
    120_000: Fraction(-1, 2),
    _HALF_TURN: Fraction(-1),
}
#: The cosine is summed in integers of this fineness; the truncation error is far below `_CUT_OFF`
#: units of it.
_ONE: Final = 10**50
_PI: Final = 314159265358979323846264338327950288419716939937510
_CUT_OFF: Final = 10**5


def angle_for(depth: int, stroke: int, rod: int) -> float | None:
    """Return the angle (degrees after top dead centre, 0 to 180) at a travel of `depth` ticks.

    None where the crown never stands there: above top or below bottom dead centre. `rod` must be
    longer than half of `stroke` (both ticks).
    """
    if not 0 <= depth <= stroke:
        return None
    if depth in (0, stroke):  # exactly: the arc cosine is steep there
        return 180.0 if depth else 0.0
    radius = stroke / 2
    from_axis = radius + rod - depth
    cosine = (radius**2 + from_axis**2 - rod**2) / (2 * radius * from_axis)
    return degrees(acos(max(-1.0, min(1.0, cosine))))


@lru_cache(maxsize=4096)
def cosine(angle: int) -> tuple[Fraction, Fraction]:
    """Return the cosine of `angle` (thousandths of a degree, 0 to 180 000) from both sides.

    Both are equal where it is a fraction; elsewhere they lie 2e-45 apart (power series).
    """
    exact = _EXACT.get(angle)
    if exact is not None:
        return exact, exact
    if angle > _HALF_TURN // 2:
        below, above = cosine(_HALF_TURN - angle)
        return -above, -below
    turned = _PI * angle // _HALF_TURN
    square = turned * turned // _ONE
    total, term, place = 0, _ONE, 0
    while term:
        total += -term if place % 4 else term
        place += 2
        term = term * square // (_ONE * place * (place - 1))
    return Fraction(total - _CUT_OFF, _ONE), Fraction(total + _CUT_OFF, _ONE)


def _cosine_at(depth: int, stroke: int, rod: int) -> Fraction:
    """Return the cosine of the crank angle at a travel of `depth` ticks, 0 to the stroke."""
    twice = stroke + 2 * rod - 2 * depth
    return Fraction(stroke**2 + twice**2 - 4 * rod**2, 2 * stroke * twice)


@lru_cache(maxsize=4096)
def least_travel(angle: int, stroke: int, rod: int) -> int:
    """Return the smallest travel (ticks) at which the crank stands at `angle` or later.

    `angle` in thousandths of a degree, 0 to 180 000; travel falls and rises with it.
    """
    below, _ = cosine(angle)
    return bisect_left(
        range(stroke), True, key=lambda depth: _cosine_at(depth, stroke, rod) <= below
    )


@lru_cache(maxsize=4096)
def most_travel(angle: int, stroke: int, rod: int) -> int:
    """Return the largest travel (ticks) at which the crank stands at `angle` or earlier."""
    _, above = cosine(angle)
    return (
        bisect_left(
            range(stroke + 1), True, key=lambda depth: _cosine_at(depth, stroke, rod) < above
        )
        - 1
    )


def angles_for(depth: int, stroke: int, rod: int) -> tuple[int, int]:
    """Return the crank angle at a travel of `depth` in thousandths of a degree, down and up.

    `depth` is 0 to the stroke (ticks).
    """
    here = _cosine_at(depth, stroke, rod)
    steps = range(_HALF_TURN + 1)
    down = bisect_left(steps, True, key=lambda angle: cosine(angle)[0] < here) - 1
    up = bisect_left(steps, True, key=lambda angle: cosine(angle)[1] <= here)
    return down, up
