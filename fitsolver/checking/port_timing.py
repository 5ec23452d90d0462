"""Check of `port_timing`: the crown's travel at the stated angles, by the slider-crank equation.

`s = r + l - (r cos t + sqrt(l^2 - r^2 sin^2 t))`, figured to 60 digits. The plan uses the inverse.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Context, Decimal, localcontext
from typing import Final

from fitsolver.checking.stack import squish_over
from fitsolver.checking.view import CylinderView, PlanView
from fitsolver.choices.stack_windows import timed_ports
from fitsolver.fits.port_timing import UNDER_THE_CYLINDER
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Piston
from fitsolver.records.plan import Fit
from fitsolver.records.windows import HALF_TURN

_DIGITS: Final = 60
_PI: Final = Decimal("3.14159265358979323846264338327950288419716939937510")
#: Figures closer than this (ticks) are equal: no two travels lie so close.
_SAME: Final = Decimal("1e-30")


def violations(view: PlanView) -> Iterator[str]:
    """Yield every cylinder with a port that may open outside its window."""
    for item in view.cylinders:
        for sentence in _ports(item):
            yield f"cylinder {item.name}: {sentence}"


def refuses(item: CylinderView, piston: Piston) -> bool:
    """Tell whether the compression height of a piston is needed and unknown."""
    windows = item.job.windows_for(item.cylinder)
    return piston.compression_height is None and bool(timed_ports(item.job, item.cylinder, windows))


def _ports(item: CylinderView) -> Iterator[str]:
    stroke, rod, base = item.job.engine.stroke, item.job.engine.rod_length, item.cylinder.squish
    windows = [(port, item.limits("port_timing", port=port.name)) for port in item.cylinder.ports]
    asked = [(port, limits) for port, limits in windows if limits != (None, None)]
    said = [fit for fit in item.plan.fits if fit.fit == "port_timing"]
    if stroke is None or rod is None or base is None:
        asked = []
    if [fit.port for fit in said] != [port.name for port, _ in asked]:
        yield "the ports to expect are not those under a window"
        return
    if not asked:
        return
    squish = squish_over(item, UNDER_THE_CYLINDER)
    if squish is None or base is None or stroke is None or rod is None:
        yield "port timing without a compression height"
        return
    for (port, limits), fit in zip(asked, said, strict=True):
        crown = Range(low=squish.low - base.head_step, high=squish.high - base.head_step)
        first, last = port.top - crown.high, port.top - crown.low
        if not 0 <= first <= last <= stroke:
            yield f"the crown does not pass {port.name}"
            continue
        if not _between(first, last, fit, stroke, rod):
            yield f"the angles to expect are not those at which {port.name} opens"
        if limits.low is not None and travel(limits.low, stroke, rod) - _SAME > first:
            yield f"{port.name} can open too early"
        if limits.high is not None and travel(limits.high, stroke, rod) + _SAME < last:
            yield f"{port.name} can open too late"


def _between(first: int, last: int, fit: Fit, stroke: int, rod: int) -> bool:
    """Tell whether least and most are the nearest whole thousandths outside the angles."""
    outside = (
        travel(fit.least, stroke, rod) <= first + _SAME
        and travel(fit.most, stroke, rod) >= last - _SAME
    )
    early = fit.least == HALF_TURN or travel(fit.least + 1, stroke, rod) > first + _SAME
    late = fit.most == 0 or travel(fit.most - 1, stroke, rod) < last - _SAME
    return outside and early and late


def travel(angle: int, stroke: int, rod: int) -> Decimal:
    """Return the travel (ticks) at an angle in thousandths of a degree."""
    with localcontext(Context(prec=_DIGITS)):
        radius = Decimal(stroke) / 2
        turned = _PI * angle / HALF_TURN
        cosine = _cosine(turned)
        sine_squared = 1 - cosine * cosine
        return radius + rod - radius * cosine - (rod * rod - radius * radius * sine_squared).sqrt()


def _cosine(turned: Decimal) -> Decimal:
    """Return the cosine of an angle in radians by its power series."""
    total, term, place = Decimal(0), Decimal(1), 0
    while abs(term) > Decimal(f"1e-{_DIGITS}"):
        total += term
        place += 2
        term *= -turned * turned / (place * (place - 1))
    return total
