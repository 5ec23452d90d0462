"""Check of `squish`, and of the stacks: every place holds its number of gaskets."""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.checking.view import CylinderView, PlanView
from fitsolver.records.catalogue import Piston
from fitsolver.records.windows import OPEN, find_window


def violations(view: PlanView) -> Iterator[str]:
    """Yield every cylinder with a squish, or a number of gaskets, out of its limits."""
    for item in view.cylinders:
        for place in view.job.gaskets:
            stack = [count for gasket, count in item.gaskets if gasket.place == place.place]
            if not place.least <= sum(stack) <= place.most:
                yield f"cylinder {item.name}: number of gaskets at {place.place}"
        said = zip(item.plan.gaskets, item.gaskets, strict=True)
        if any(chosen.place != gasket.place for chosen, (gasket, _) in said):
            yield f"cylinder {item.name}: a gasket is not where it goes"
        yield from _squish(item)
    for place in view.job.gaskets:
        stacks = {
            tuple((g.number, n) for g, n in item.gaskets if g.place == place.place)
            for item in view.cylinders
        }
        if place.shared and len(stacks) > 1:
            yield f"the shared gaskets at {place.place} differ between cylinders"


def refuses(item: CylinderView, piston: Piston) -> bool:
    """Tell whether the compression height of a piston is needed and unknown."""
    window = find_window(item.job.windows_for(item.cylinder), "squish")
    limited = window is not None and window.limits(piston.nominal_bore) != OPEN
    return limited and item.cylinder.squish is not None and piston.compression_height is None


def _squish(item: CylinderView) -> Iterator[str]:
    limits, base = item.limits("squish"), item.cylinder.squish
    if base is None:
        return
    height = item.piston.part.compression_height
    if height is None:
        if limits.low is not None or limits.high is not None:
            yield f"cylinder {item.name}: squish without a compression height"
        return
    least = base.base_low - height.high + sum(g.compressed.low * n for g, n in item.gaskets)
    most = base.base_high - height.low + sum(g.compressed.high * n for g, n in item.gaskets)
    if least < 1:
        yield f"cylinder {item.name}: the piston can touch the head"
    if limits.low is not None and least < limits.low:
        yield f"cylinder {item.name}: the squish can be too small"
    if limits.high is not None and most > limits.high:
        yield f"cylinder {item.name}: the squish can be too large"
