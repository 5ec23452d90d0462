"""Figures that follow from the sizes: stock, dial stop, remaining slack, permitted sizes."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from fitsolver.checking.larger_sizes import usable_sizes
from fitsolver.checking.view import CylinderView, PlanView
from fitsolver.records.base import Range
from fitsolver.records.measuring import REFERENCE


def violations(view: PlanView) -> Iterator[str]:
    """Yield every figure of a cylinder that disagrees with its sizes."""
    for item in view.cylinders:
        for sentence in (*_stock(item), *_dial(view, item), *_left(view, item), *_permitted(item)):
            yield f"cylinder {item.name}: {sentence}"


def _stock(item: CylinderView) -> Iterator[str]:
    plan = item.plan
    worst, tightest = item.largest, item.smallest
    if item.route.restored_bore is not None:
        worst = tightest = item.route.restored_bore
    stock: tuple[int | None, int | None] = (None, None)
    if item.route.machined:
        stock = plan.finish_large - worst, plan.finish_large - tightest
    if (plan.stock_worst, plan.stock_tightest) != stock:
        yield "the stock is not the finish size less the readings"


def _dial(view: PlanView, item: CylinderView) -> Iterator[str]:
    plan, zero, skirt = item.plan, item.cylinder.zero, item.piston.skirt
    stop = None
    if zero is not None:
        stop = Range(low=plan.finish_small - zero.size, high=plan.finish_large - zero.size)
    if plan.dial_stop != stop:
        yield "the stop of the dial is not the finish size less the gauge's zero"
    yield from _warm_dial(view, item)
    ends = plan.finish_small - skirt.high, plan.finish_large - skirt.low
    if item.follows:
        ends = plan.finish_small - skirt.low, plan.finish_large - skirt.high
    if plan.dial_on_piston != Range(low=min(ends), high=max(ends)):
        yield "the dial on the new piston is not the finish size less the skirt size"


def _warm_dial(view: PlanView, item: CylinderView) -> Iterator[str]:
    """On the warm bore the gauge reads the expanded bore less its setting, expanded too."""
    warm, zero, measuring = item.plan.warm_dial, item.cylinder.zero, view.job.measuring
    at = item.cylinder.temperatures or (None if measuring is None else measuring.temperatures)
    cold = at is None or at.bore == at.standard == REFERENCE
    if (warm is None) != (zero is None or cold or not item.route.machined):
        yield "the stop of the dial on the warm bore is stated where it is not warm, or is missing"
    if warm is None or zero is None or at is None:
        return
    if (warm.bore, warm.standard) != (at.bore, at.standard):
        yield "the stop of the dial is for other temperatures than the job's"
    grown = (
        Fraction(warm.bore_expansion * (warm.bore - REFERENCE), 10**12),
        Fraction(warm.standard_expansion * (warm.standard - REFERENCE), 10**12),
    )
    sizes = item.plan.finish_small, item.plan.finish_large
    stop = [round(size * (1 + grown[0]) - zero.size * (1 + grown[1])) for size in sizes]
    if warm.stop != Range(low=stop[0], high=stop[1]):
        yield "the stop of the dial on the warm bore is not the grown finish size less the zero"


def _left(view: PlanView, item: CylinderView) -> Iterator[str]:
    plan = item.plan
    limit = view.job.bore_limit_for(item.cylinder)
    if plan.left_to_limit != (None if limit is None else limit - plan.bore_high):
        yield "what is left is not the bore limit less the largest local size"
    here = item.piston.part.nominal_bore
    larger = {(p.nominal_bore, p.oversize) for p in view.catalogue.pistons}
    expected = [
        (nominal, oversize, nominal - plan.finish_large, limit is None or nominal <= limit)
        for nominal, oversize in sorted(larger)
        if nominal > here
    ]
    said = [
        (size.nominal_bore, size.oversize, size.metal_to_it, size.within_limit)
        for size in plan.larger_sizes
    ]
    if said != expected:
        yield "the larger sizes are not those of the catalogue"
    usable = usable_sizes(item, view.catalogue)
    if [size.usable for size in plan.larger_sizes] != [row[0] in usable for row in expected]:
        yield "the larger sizes left are not those that a later rebuild can use"


def _permitted(item: CylinderView) -> Iterator[str]:
    """The finish size lies within the permitted range; a test verifies the range itself."""
    plan = item.plan
    if not item.route.machined:
        if (plan.lowest, plan.highest, plan.highest_small) != (None, None, None):
            yield "a bore that is left as it is has no permitted finish sizes"
        return
    if plan.lowest is None or plan.lowest > plan.finish_large:
        yield "the finish size lies below the lowest permitted"
    if plan.highest is not None and plan.finish_large > plan.highest:
        yield "the finish size lies above the highest permitted"
    if plan.highest_small is not None and plan.finish_small > plan.highest_small:
        yield "the finish size for the smallest piston lies above the highest permitted"
