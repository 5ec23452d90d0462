"""Check of `clearance`: smallest and largest piston, each with its finish size.

A skirt is no larger than its bore, unless a window states a lowest value below zero.
"""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.checking.view import CylinderView, PlanView


def violations(view: PlanView) -> Iterator[str]:
    """Yield every cylinder in which some piston of the range runs outside the window."""
    for item in view.cylinders:
        limits = item.limits("clearance", kept=item.piston.kept)
        values = _values(item)
        said = [(fit.least, fit.most) for fit in item.plan.fits if fit.fit == "clearance"]
        if said != [(min(values), max(values))]:
            yield f"cylinder {item.name}: the clearance to expect is not that of bore and skirt"
        if min(values) < lowest(limits.low):
            yield f"cylinder {item.name}: the clearance can be too small"
        if limits.high is not None and max(values) > limits.high:
            yield f"cylinder {item.name}: the clearance can be too large"


def lowest(guarded: int | None) -> int:
    """Return the least clearance (ticks) possible under a guarded lower edge."""
    return 0 if guarded is None else guarded


def _values(item: CylinderView) -> list[int]:
    """Return the clearances at the corners of bore and skirt (ticks)."""
    skirt, plan, half = item.piston.skirt, item.plan, item.route.half_width
    if not item.follows:
        return [plan.bore_low - skirt.high, plan.bore_high - skirt.low]
    return [
        finish + side - size
        for finish, size in ((plan.finish_small, skirt.low), (plan.finish_large, skirt.high))
        for side in (-half, half)
    ]
