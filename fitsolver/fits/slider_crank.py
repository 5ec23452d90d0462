"""Slider crank: how far the crown has travelled at a crank angle, and the angle for a travel.

    s = r + l - (r cos t + sqrt(l^2 - r^2 sin^2 t))

with crank radius r = stroke / 2, rod length l between centres and crank angle t from top dead
centre; no pin offset. Heywood, Internal Combustion Engine Fundamentals, eq. 2.4 to 2.6. The
inverse is the cosine rule in the triangle of crank, rod and the line between their far ends.
Angles are no lengths on the grid, so floats take part; nothing is decided by them.
"""

from __future__ import annotations

from math import acos, cos, degrees, radians, sin, sqrt


def travel(angle: float, stroke: int, rod: int) -> float:
    """Return how far (ticks) the crown lies below top dead centre at `angle` (degrees).

    `rod` must be longer than half of `stroke` (both ticks).
    """
    radius, turned = stroke / 2, radians(angle)
    return radius + rod - radius * cos(turned) - sqrt(rod**2 - (radius * sin(turned)) ** 2)


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
