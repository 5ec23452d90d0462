"""Port timing and compression ratio, read off docs/decision.md by their definitions.

Angles by the slider crank as printed, to sixty digits; bores by trying. Lengths are ticks, angles
and ratios thousandths.
"""

from __future__ import annotations

from decimal import Context, Decimal, localcontext
from fractions import Fraction
from functools import cache
from typing import NamedTuple

from fitsolver.records.windows import Window

from .brute_parts import PistonChoice, Setting, Stack

PI = Fraction("3.141592653589793238462643383279502884197")
DIGITS = 60
#: Nearer than this (ticks) an angle is that of a whole tick: no other comes so near.
SAME = Decimal("1e-30")
#: No bore is larger.
LONGEST = 10**9


class Ratio(NamedTuple):
    """What the ratio asks of a bore: the least L and the most H; None = nothing."""

    low: int | None
    high: int | None


def timing_holds(setting: Setting, piston: PistonChoice, stacks: tuple[Stack, ...]) -> bool:
    """Does the crown pass every port under a window within it, at all ends of the tolerances?"""
    engine, base = setting.job.engine, setting.cylinder.squish
    if engine.stroke is None or engine.rod_length is None or base is None:
        return True
    windows = [(port, setting.port_window(port.name)) for port in setting.cylinder.ports]
    asked = [(port, window) for port, window in windows if window is not None]
    if not asked or "port_timing" in setting.without:
        return True
    height = piston.part.compression_height
    if height is None:
        return False
    under = [g.compressed for stack in stacks for g in stack if g.place == "base"]
    step = base.head_step
    highest = base.base_low - step - height.high + sum(t.low for t in under)
    lowest = base.base_high - step - height.low + sum(t.high for t in under)
    ends = [(port.top - lowest, port.top - highest, window) for port, window in asked]
    return all(_passed(*end, engine.stroke, engine.rod_length) for end in ends)


def _passed(first: int, last: int, window: Window, stroke: int, rod: int) -> bool:
    """Do the travels from first to last lie on the stroke and within the window?"""
    early = window.low is not None and first < travel(window.low, stroke, rod) - SAME
    late = window.high is not None and last > travel(window.high, stroke, rod) + SAME
    return first >= 0 and last <= stroke and not early and not late


@cache
def travel(angle: int, stroke: int, rod: int) -> Decimal:
    """`r + l - (r cos t + sqrt(l^2 - r^2 sin^2 t))`, sine and cosine by their power series."""
    with localcontext(Context(prec=DIGITS)):
        turned = Decimal(PI.numerator) / Decimal(PI.denominator) * angle / 180_000
        sine, cosine, term = Decimal(0), Decimal(0), Decimal(1)
        for place in range(80):
            if place % 2:
                sine += -term if place % 4 == 3 else term
            else:
                cosine += -term if place % 4 == 2 else term
            term = term * turned / (place + 1)
        radius = Decimal(stroke) / 2
        return radius + rod - (radius * cosine + (rod**2 - (radius * sine) ** 2).sqrt())


def ratio_bounds(setting: Setting, piston: PistonChoice, stacks: tuple[Stack, ...]) -> Ratio | None:
    """What the ratio asks of the bore with a piston and its stacks; None: nothing will do."""
    engine, base = setting.job.engine, setting.cylinder.squish
    window = setting.window("compression", piston.part.nominal_bore)
    if window is None or base is None or base.squish_before is None:
        return Ratio(None, None)
    if engine.stroke is None or engine.chamber_volume is None or "compression" in setting.without:
        return Ratio(None, None)
    height = piston.part.compression_height
    if height is None:
        return None
    taken = [gasket.compressed for stack in stacks for gasket in stack]
    before = base.squish_before
    least = base.base_low - height.high + sum(t.low for t in taken) - before
    most = base.base_high - height.low + sum(t.high for t in taken) - before
    return _bounds(engine.stroke, engine.chamber_volume, least, most, window.low, window.high)


@cache
def _bounds(
    stroke: int, chamber: int, least: int, most: int, low: int | None, high: int | None
) -> Ratio | None:
    """Halve for the smallest bore that reaches the low edge, and the largest within the high."""

    def reaches(bore: int) -> bool:
        ratio = ratio_of(bore, stroke, chamber, most)
        return low is None or ratio is None or ratio >= Fraction(low, 1000)

    def within(bore: int) -> bool:
        ratio = ratio_of(bore, stroke, chamber, least)
        return ratio is not None and (high is None or ratio <= Fraction(high, 1000))

    smallest = _first(reaches)
    too_large = _first(lambda bore: not within(bore))
    if smallest is None:
        return None
    return Ratio(smallest, None if too_large is None else too_large - 1)


def _first(true_from: object) -> int | None:
    """The smallest bore from which on something is true."""
    assert callable(true_from)
    if not true_from(LONGEST):
        return None
    low, high = 0, LONGEST
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if true_from(middle) else (middle, high)
    return high


def ratio_of(bore: int, stroke: int, chamber: int, growth: int) -> Fraction | None:
    """(A S + V) / V with V = chamber + A growth; None where no volume is left."""
    area = PI / 4 * bore**2
    volume = chamber + area * growth
    return (area * stroke + volume) / volume if volume > 0 else None
