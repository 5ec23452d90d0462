"""Check of `compression`: volumes and ratio at both ends, with the less favourable bound on pi."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from fitsolver.checking.stack import squish_over
from fitsolver.checking.view import CylinderView, PlanView
from fitsolver.choices.stack_windows import ratio_window
from fitsolver.fits.displacement import PI_ABOVE, PI_BELOW
from fitsolver.records.catalogue import Piston


def violations(view: PlanView) -> Iterator[str]:
    """Yield every cylinder whose compression ratio may lie outside its window."""
    for item in view.cylinders:
        for sentence in _ratio(item):
            yield f"cylinder {item.name}: {sentence}"


def refuses(item: CylinderView, piston: Piston) -> bool:
    """Tell whether the compression height of a piston is needed and unknown."""
    if piston.compression_height is not None:
        return False
    return ratio_window(item.job, item.cylinder, item.job.windows_for(item.cylinder)) is not None


def _ratio(item: CylinderView) -> Iterator[str]:
    limits, base, engine = item.limits("compression"), item.cylinder.squish, item.job.engine
    said = [fit for fit in item.plan.fits if fit.fit == "compression"]
    if (
        limits == (None, None)
        or base is None
        or base.squish_before is None
        or engine.stroke is None
        or engine.chamber_volume is None
    ):
        if said:
            yield "a compression ratio is told against no window"
        return
    squish = squish_over(item, "")
    if squish is None:
        yield "a compression ratio without a compression height"
        return
    ends = (
        (PI_BELOW * item.plan.bore_low**2 / 4, squish.high - base.squish_before),
        (PI_ABOVE * item.plan.bore_high**2 / 4, squish.low - base.squish_before),
    )
    volumes = [
        (area * engine.stroke, engine.chamber_volume + area * growth) for area, growth in ends
    ]
    if any(left <= 0 for _, left in volumes):
        yield "no volume is left above the crown"
        return
    least, most = (1000 * (swept + left) / left for swept, left in volumes)
    if len(said) != 1 or not _next_to(said[0].least, said[0].most, least, most):
        yield "the compression ratio to expect is not what volumes and bore come to"
    if limits.low is not None and least < limits.low:
        yield "the compression ratio can be too small"
    if limits.high is not None and most > limits.high:
        yield "the compression ratio can be too large"


def _next_to(low: int, high: int, least: Fraction, most: Fraction) -> bool:
    """Tell whether whole thousandths are the nearest ones outside a range."""
    return low <= least < low + 1 and high - 1 < most <= high
