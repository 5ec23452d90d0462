"""The probability that a true value lies in its window, and the guard of a window.

All after JCGM 106:2012 with normal distributions. Lengths and standard uncertainties are in
one unit, whichever; `None` for an edge means that side is open.
"""

from __future__ import annotations

from math import erfc, inf, sqrt
from statistics import NormalDist
from typing import Final

_NORMAL: Final = NormalDist()
Edge = float | None


def error_interval(least: float, most: float, low: Edge, high: Edge) -> tuple[float, float]:
    """Return the errors with which every value from `least` to `most` lies in [low, high].

    Open sides are infinite; the interval is empty (its ends swapped) where the range is wider
    than the window.
    """
    return (-inf if low is None else low - least, inf if high is None else high - most)


def probability_between(low: float, high: float, u: float) -> float:
    """Return the probability that an error of standard uncertainty `u` lies in [low, high]."""
    if u < 0:
        raise ValueError(f"a standard uncertainty cannot be negative; found: {u}")
    if low > high:
        return 0.0
    if u == 0:
        return 1.0 if low <= 0 <= high else 0.0
    if low > 0:  # in the upper tail, differences of tiny numbers, not of numbers near 1
        low, high = -high, -low
    return max(0.0, normal_below(high / u) - normal_below(low / u))


def normal_quantile(probability: float) -> float:
    """Return the quantile of the standard normal distribution, within plus and minus 8."""
    return 8.0 if probability >= 1 - 1e-15 else max(-8.0, _NORMAL.inv_cdf(max(probability, 1e-15)))


def guard_factor(probability: float, window_width_over_u: float | None = None) -> float | None:
    """Return the guard in standard uncertainties that leaves `probability` at the guarded edge.

    One-sided (no width): the quantile z of JCGM 106:2012, table 1 (1.645 for 95 %). In a window of
    width T closed on both sides the guard g solves Phi(T/u - g) - Phi(-g) = probability;
    None where even the middle falls short (for 95 % below T/u = 3.92). Never below 0.
    Raises ValueError unless 0.5 <= probability < 1.
    """
    if not 0.5 <= probability < 1:
        raise ValueError(f"a wanted probability lies from 0.5 to below 1; found: {probability}")
    least = _NORMAL.inv_cdf(probability)
    if window_width_over_u is None:
        return least
    most = window_width_over_u / 2
    if probability_between(-most, most, 1.0) < probability:
        return None
    for _ in range(60):  # the probability grows from the edge to the middle: halve in between
        middle = (least + most) / 2
        if probability_between(-middle, window_width_over_u - middle, 1.0) < probability:
            least = middle
        else:
            most = middle
    return most


def normal_below(z: float) -> float:
    """Return the standard normal distribution function, also far out in the lower tail."""
    return erfc(-z / sqrt(2)) / 2
