"""Finish size and bore afterwards: consistent, and the least that the piston needs."""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.checking.clearance import lowest
from fitsolver.checking.stack import squish_over
from fitsolver.checking.view import CylinderView, PlanView
from fitsolver.fits import clean_up, compression, end_gap, ring_seat


def violations(view: PlanView) -> Iterator[str]:
    """Yield what is wrong with the sizes of any cylinder."""
    for item in view.cylinders:
        for sentence in _of(item):
            yield f"cylinder {item.name}: {sentence}"


def _of(item: CylinderView) -> Iterator[str]:
    plan, half = item.plan, item.route.half_width
    if (plan.machined, plan.restored) != (item.route.machined, item.route.kind == "restore"):
        yield "the plan and its route disagree about machining"
    if plan.skirt != item.piston.skirt:
        yield "the skirt size is not the piston's"
    part = item.piston.part
    if (plan.oversize, plan.nominal_bore) != (part.oversize, part.nominal_bore):
        yield "the oversize or the nominal bore is not the piston's"
    if plan.half_width != half:
        yield "the size held is not the route's"
    if not item.route.machined:
        if {(plan.bore_low, plan.bore_high), (plan.finish_small, plan.finish_large)} != {
            item.extremes
        }:
            yield "a bore that is left as it is changes size"
        if plan.removal:
            yield "a bore that is left as it is loses metal"
        return
    if item.job.finishing == "already finished":
        yield "a finished bore is machined"
    if (plan.bore_low, plan.bore_high) != (plan.finish_small - half, plan.finish_large + half):
        yield "the bore afterwards is not the finish size within the size held"
    if plan.removal != plan.finish_large - item.base:
        yield "the removal is not the worst-case finish size less what it counts from"
    if not item.follows and plan.finish_small != plan.finish_large:
        yield "a set size is one size"
    if item.follows and (plan.finish_small, plan.finish_large) != _least(item):
        yield "the finish size is not the least that the piston asks for"


def _least(item: CylinderView) -> tuple[int, int]:
    """Return the least finish sizes for the smallest and the largest piston."""
    half, skirt = item.route.half_width, item.piston.skirt
    others = [clean_up.least_local_size(item.route, item.largest, item.cylinder.scratch)]
    others += [bound for bound in (*_ring_bounds(item), _by_ratio(item)) if bound is not None]
    common = max(*others, item.base) + half
    low = lowest(item.limits("clearance", kept=item.piston.kept).low)
    return max(skirt.low + low + half, common), max(skirt.high + low + half, common)


def _by_ratio(item: CylinderView) -> int | None:
    """Return the least local size that the compression ratio permits."""
    base, engine, squish = item.cylinder.squish, item.job.engine, squish_over(item, "")
    low = item.limits("compression").low
    if low is None or base is None or base.squish_before is None or squish is None:
        return None
    if engine.stroke is None or engine.chamber_volume is None:
        return None
    growth = squish.high - base.squish_before
    return compression.smallest_bore(engine.stroke, engine.chamber_volume, growth, low)


def _ring_bounds(item: CylinderView) -> Iterator[int | None]:
    for groove, ring in item.fitted():
        bottom = item.limits("end_gap", groove.number, kept=ring.kept).low
        part, gauge = ring.part, ring.gauge_diameter
        filed = 0 if bottom is None else part.file_most  # without a lower edge nothing is filed
        yield end_gap.smallest_bore(max(1, bottom or 0), ring.gap.low, gauge, filed)
        seat = item.limits("ring_seat", groove.number, kept=ring.kept)
        yield ring_seat.bore_bounds(part.gauge_diameter, seat, part.seat_over)[0]
