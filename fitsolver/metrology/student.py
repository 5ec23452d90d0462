"""Quantiles and tails of Student's t."""

from __future__ import annotations

from functools import lru_cache
from math import atan, cos, pi, sin, sqrt


@lru_cache(maxsize=1024)
def t_quantile(probability: float, degrees: int) -> float:
    """Return the quantile of Student's t for a probability of a half or more.

    By bisection of the distribution's finite series for whole degrees of freedom (Abramowitz
    and Stegun, Handbook of Mathematical Functions, 26.7.3 and 26.7.4). Raises ValueError for
    a probability below a half or not below one, or degrees below one.
    """
    if not 0.5 <= probability < 1 or degrees < 1:
        raise ValueError("a quantile needs a probability from 0.5 to below 1 and a degree or more")
    low, high = 0.0, 1.0
    while _within(high, degrees) < 2 * probability - 1:
        high *= 2
    for _ in range(80):
        middle = (low + high) / 2
        if _within(middle, degrees) < 2 * probability - 1:
            low = middle
        else:
            high = middle
    return high


def t_above(t: float, degrees: int) -> float:
    """Return the probability that Student's t with whole `degrees` of freedom lies above `t`.

    Raises ValueError for less than one degree.
    """
    if degrees < 1:
        raise ValueError("Student's t has one degree of freedom or more")
    return min(1.0, max(0.0, (1 - _within(t, degrees)) / 2))


def _within(t: float, degrees: int) -> float:
    """Return the probability of lying within plus and minus `t`; below 0 for a negative one."""
    angle = atan(t / sqrt(degrees))
    square = cos(angle) ** 2
    term = total = cos(angle) if degrees % 2 else 1.0
    first = 3 if degrees % 2 else 2
    for step in range(first, degrees - 1, 2):
        term *= square * (step - 1) / step
        total += term
    if degrees % 2 == 0:
        return sin(angle) * total
    return 2 / pi * (angle + (sin(angle) * total if degrees > 1 else 0.0))
