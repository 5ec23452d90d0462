"""Check of the rebuilds left: later finishes from the records, without the options."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitsolver.base.errors import CheckError
from fitsolver.checking.clearance import lowest
from fitsolver.checking.rules import may_serve
from fitsolver.checking.view import CylinderView, PlanView
from fitsolver.choices.rebuild_steps import MOST_COUNTED, Span, Step, merged, rebuilds
from fitsolver.fits import route_cut
from fitsolver.records.catalogue import Catalogue, Piston, Route
from fitsolver.records.windows import OPEN, find_window


def left_and_lost(view: PlanView) -> tuple[int, int]:
    """Return the rebuilds left in the cylinder with the fewest, and those lost against the most."""
    left, most = [], []
    for item in view.cylinders:
        steps, wear = _steps(item, view.catalogue), item.job.wear_for(item.cylinder)
        if wear is None:
            raise CheckError(f"cylinder {item.name}: rebuilds are counted without a wear")
        left.append(rebuilds(steps, item.plan.bore_low, item.plan.bore_high, wear))
        restored = [r.restored_bore for r in view.catalogue.routes if r.restored_bore is not None]
        most.append(_uncut(steps, min([item.largest, *restored]), wear))
    return min(left), min(most) - min(left)


def _steps(item: CylinderView, catalogue: Catalogue) -> list[Step]:
    """Return the routes a later rebuild may take, each with the finishes that suit a piston."""
    pistons = [piston for piston in catalogue.pistons if may_serve(item, piston)]
    return [
        Step(route, tuple(merged(s for p in pistons for s in _finishes(item, p, route))))
        for route in later_routes(item, catalogue)
    ]


def later_routes(item: CylinderView, catalogue: Catalogue) -> list[Route]:
    """Return the routes that a later rebuild may cut by."""
    listed = item.cylinder.routes or item.job.routes
    return [
        route
        for route in catalogue.routes
        if route.kind not in ("as is", "restore")
        and (not listed or route.name in listed)
        and route_cut.takes_material(route, item.cylinder.material)
    ]


def _finishes(item: CylinderView, piston: Piston, route: Route) -> Iterator[Span]:
    """Yield the finishes (ticks) that suit a piston at both ends of its tolerance."""
    half, limit = route.half_width, item.job.bore_limit_for(item.cylinder)
    windows = item.job.windows_for(item.cylinder)
    window = find_window(windows, "clearance", stated=piston.stated)
    least, most = OPEN if window is None else window.limits(piston.nominal_bore)
    low = piston.skirt.high + lowest(least) + half
    tops = [] if limit is None else [limit - half]
    tops += [] if most is None else [piston.skirt.low + most - half]
    if not tops:
        raise CheckError(f"cylinder {item.name}: rebuilds without end are counted")
    if low <= min(tops):
        yield low, min(tops)


def _uncut(steps: Sequence[Step], high: int, wear: int) -> int:
    """Return the most rebuilds without limits on the cut: each step as small as possible."""
    for count in range(MOST_COUNTED):
        sizes = []
        for route, fitting in steps:
            least = high + wear + route.min_cut + route.half_width
            sizes += [
                max(first, least) + route.half_width for first, last in fitting if last >= least
            ]
        if not sizes:
            return count
        high = min(sizes)
    return MOST_COUNTED
