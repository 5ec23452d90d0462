"""The least-squares straight line and what it foretells, in floats about the means.

    slope b = Sxy / Sxx,  intercept a = mean(y) - b mean(x),  s**2 = sum of residuals**2 / (n - 2)
    u(b) = s / sqrt(Sxx),  u(y at X) = s sqrt(1 + 1/n + (X - mean(x))**2 / Sxx)

(NIST/SEMATECH e-Handbook of Statistical Methods, 4.4 and 4.5; JCGM 100:2008, H.3.)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import atan, cos, fsum, hypot, pi, sin, sqrt


@dataclass(frozen=True, slots=True)
class Line:
    """A fitted line; `scatter` is the residual standard deviation, None with two points only."""

    points: int
    mean_x: float
    mean_y: float
    spread_x: float
    slope: float
    scatter: float | None

    @property
    def intercept(self) -> float:
        return self.mean_y - self.slope * self.mean_x

    @property
    def degrees(self) -> int:
        return self.points - 2

    def at(self, x: float) -> float:
        """Return the height of the line at `x`."""
        return self.mean_y + self.slope * (x - self.mean_x)

    def slope_factor(self) -> float:
        """Return what a scatter is multiplied by to give the slope's standard uncertainty."""
        return 1 / sqrt(self.spread_x)

    def intercept_factor(self) -> float:
        """Return the same for the intercept."""
        return sqrt(1 / self.points + self.mean_x**2 / self.spread_x)

    def foretelling_factor(self, x: float) -> float:
        """Return the same for one further point at `x`."""
        return hypot(1.0, 1 / sqrt(self.points), (x - self.mean_x) / sqrt(self.spread_x))


def fit_line(x: Sequence[float], y: Sequence[float]) -> Line:
    """Return the least-squares line through points; any units.

    Raises ValueError for fewer than two points, lists of unequal length or all at one x.
    """
    n = len(x)
    if n != len(y) or n < 2:
        raise ValueError("a line needs two points or more, each with x and y")
    mean_x, mean_y = fsum(x) / n, fsum(y) / n
    dx, dy = [value - mean_x for value in x], [value - mean_y for value in y]
    spread_x = fsum(d * d for d in dx)
    if spread_x == 0:
        raise ValueError("a line needs points at more than one x")
    slope = fsum(a * b for a, b in zip(dx, dy, strict=True)) / spread_x
    residuals = fsum((b - slope * a) ** 2 for a, b in zip(dx, dy, strict=True))
    scatter = sqrt(residuals / (n - 2)) if n > 2 else None
    return Line(n, mean_x, mean_y, spread_x, slope, scatter)


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


def _within(t: float, degrees: int) -> float:
    """Return the probability of lying within plus and minus `t`."""
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
