"""Check of `end_gap`: with bounds on pi from both sides, so that rounding cannot hide a miss.

Under any window, the ends of a ring must not meet anywhere in the bore.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from fitsolver.checking.view import CylinderView, PlanView

_PI_LOW: Final = Fraction(314159265358979323846, 10**20)
_PI_HIGH: Final = _PI_LOW + Fraction(1, 10**20)


def violations(view: PlanView) -> Iterator[str]:
    """Yield every ring whose gap can be too large, or needs more filing than permitted."""
    for item in view.cylinders:
        filed = {ring.groove: ring.filing for ring in item.plan.rings}
        for groove, ring in item.fitted():
            place = f"cylinder {item.name}, groove {groove.number}"
            limits = item.limits("end_gap", groove.number, kept=ring.kept)
            widest = ring.gap.high + _most_growth(item.plan.bore_high - ring.gauge_diameter)
            if limits.high is not None and widest > limits.high:
                yield f"{place}: the end gap can be too large"
            filed_most = max(limits.low or 0, 1) + _PI_HIGH * _spread(item)
            if None not in (limits.low, limits.high) and filed_most > (limits.high or 0):
                yield f"{place}: a gap filed where it is tightest can be too large elsewhere"
            needed = least_filing(item, groove.number)
            if filed[groove.number] != needed:
                yield f"{place}: the filing is not what the gap needs"
            if needed > ring.part.file_most:
                yield f"{place}: the ring would be filed further than it may be"
            least = ring.gap.low + _least_growth(item.plan.bore_low - ring.gauge_diameter)
            if least + filed[groove.number] < 1:
                yield f"{place}: the ends of the ring can meet"


def least_filing(item: CylinderView, groove: int) -> int:
    """Return the least whole filing (ticks) that opens the tightest ring to the window."""
    ring = item.rings[groove]
    bottom = item.limits("end_gap", groove, kept=ring.kept).low
    if bottom is None:
        return 0
    growth = _least_growth(item.plan.bore_low - ring.gauge_diameter)
    least = max(bottom, 1) - ring.gap.low - growth
    return max(0, -(-least.numerator // least.denominator))


def _spread(item: CylinderView) -> int:
    """Return how far apart the local sizes of the bore lie afterwards (ticks)."""
    if item.route.machined:
        return 2 * item.route.half_width
    return item.largest - item.smallest


def _least_growth(growth: int) -> Fraction:
    return (_PI_LOW if growth > 0 else _PI_HIGH) * growth


def _most_growth(growth: int) -> Fraction:
    return (_PI_HIGH if growth > 0 else _PI_LOW) * growth
