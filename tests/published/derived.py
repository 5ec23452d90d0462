"""What textbooks derive from figures that the package gives, to compare with what they print."""

from __future__ import annotations

from math import cos, hypot, radians, sin, sqrt

from fitsolver.metrology.conformity import Edge, error_interval, probability_between
from fitsolver.metrology.line import Line
from fitsolver.metrology.variance import Anova


def travel(angle: float, stroke: int, rod: int) -> float:
    """Return how far (ticks) the crown lies below top dead centre at `angle` (degrees).

    Heywood, Internal Combustion Engine Fundamentals, eq. 2.4 to 2.6. `rod` must be longer than
    half of `stroke` (both ticks).
    """
    radius, turned = stroke / 2, radians(angle)
    return radius + rod - radius * cos(turned) - sqrt(rod**2 - (radius * sin(turned)) ** 2)


def conformance_probability(low: Edge, high: Edge, estimate: float, u: float) -> float:
    """Return the probability that the true value lies in [low, high] (JCGM 106:2012, 7)."""
    return worst_probability(estimate, estimate, low, high, u)


def worst_probability(least: float, most: float, low: Edge, high: Edge, u: float) -> float:
    """Return the probability that every value of a range, with one error for all, conforms."""
    return probability_between(*error_interval(least, most, low, high), u)


def intercept_factor(line: Line) -> float:
    """Return the factor from the scatter to the standard uncertainty of the intercept."""
    return sqrt(1 / line.points + line.mean_x**2 / line.spread_x)


def foretelling_factor(line: Line, x: float) -> float:
    """Return the factor from the scatter to the standard uncertainty of a new point at `x`."""
    return hypot(1.0, 1 / sqrt(line.points), (x - line.mean_x) / sqrt(line.spread_x))


def between_mean_square(anova: Anova) -> float:
    return float(anova.between_sum / anova.between_degrees)


def within_mean_square(anova: Anova) -> float:
    return float(anova.within_sum / anova.within_degrees)


def residual_deviation(anova: Anova) -> float:
    """Return the standard deviation within groups."""
    return sqrt(within_mean_square(anova))


def r_squared(anova: Anova) -> float | None:
    """Return the share of the sum of squares that lies between groups; None if nothing varies."""
    total = anova.between_sum + anova.within_sum
    return float(anova.between_sum / total) if total else None
