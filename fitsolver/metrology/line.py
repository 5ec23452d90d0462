"""The least-squares straight line and its predictions, in floats about the means.

    slope b = Sxy / Sxx,  intercept a = mean(y) - b mean(x),  s**2 = sum of residuals**2 / (n - 2)
    u(b) = s / sqrt(Sxx)

(NIST/SEMATECH e-Handbook of Statistical Methods, 4.4 and 4.5; JCGM 100:2008, H.3.)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum, sqrt


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
    def degrees(self) -> int:
        return self.points - 2

    def at(self, x: float) -> float:
        """Return the height of the line at `x`."""
        return self.mean_y + self.slope * (x - self.mean_x)

    def slope_factor(self) -> float:
        """Return the factor from the scatter to the standard uncertainty of the slope."""
        return 1 / sqrt(self.spread_x)


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
