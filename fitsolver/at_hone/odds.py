"""How likely a value of Student's t is passed: the tail that a stated risk is computed from."""

from __future__ import annotations

from math import atan, cos, pi, sin, sqrt


def t_above(t: float, degrees: int) -> float:
    """Return the probability that Student's t with whole `degrees` of freedom lies above `t`.

    The finite series of Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.3 and
    26.7.4. Raises ValueError for less than one degree.
    """
    if degrees < 1:
        raise ValueError("Student's t has one degree of freedom or more")
    angle = atan(t / sqrt(degrees))
    odd = degrees % 2
    square, term = cos(angle) ** 2, cos(angle) if odd else 1.0
    total = term
    for step in range(3 if odd else 2, degrees - 1, 2):
        term *= square * (step - 1) / step
        total += term
    if odd:
        within = 2 / pi * (angle + (sin(angle) * total if degrees > 1 else 0.0))
    else:
        within = sin(angle) * total
    return min(1.0, max(0.0, (1 - within) / 2))
