"""Check of the larger sizes left: finish by finish from the records, without the options."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from fitsolver.checking.rebuilds import later_routes
from fitsolver.checking.rules import may_serve
from fitsolver.checking.view import CylinderView
from fitsolver.choices.rebuild_steps import Span, merged
from fitsolver.records.catalogue import Catalogue, Piston, Route
from fitsolver.records.windows import OPEN, find_window

#: Reachable finishes, by the half-width of their route.
Before = dict[tuple[int, int], list[Span]]


def usable_sizes(item: CylinderView, catalogue: Catalogue) -> set[int]:
    """Return the nominal bores (ticks) above the plan's that a later rebuild can use."""
    plan, limit = item.plan, item.job.bore_limit_for(item.cylinder)
    before: Before = {(plan.bore_high - plan.bore_low, 0): [(plan.bore_high, plan.bore_high)]}
    found = set()
    routes, serving = later_routes(item, catalogue), _serving(item, catalogue)
    here = item.piston.part.nominal_bore
    for nominal in sorted({part.nominal_bore for part in catalogue.pistons}):
        if nominal <= here or (limit is not None and nominal > limit):
            continue
        after: dict[int, list[Span]] = {}
        for route in routes:
            for fitting in merged(_suiting(item, serving[nominal], nominal, route)):
                spans = after.setdefault(route.half_width, [])
                spans += _reached(item, route, fitting, before)
        if any(after.values()):
            found.add(nominal)
        for half, spans in after.items():
            before[half, half] = merged([*before.get((half, half), []), *spans])
    return found


def _serving(item: CylinderView, catalogue: Catalogue) -> dict[int, list[Piston]]:
    """Return the pistons that no rule refuses in every bore, by nominal bore."""
    found: dict[int, list[Piston]] = defaultdict(list)
    for part in catalogue.pistons:
        if part.nominal_bore > item.piston.part.nominal_bore and may_serve(item, part):
            found[part.nominal_bore].append(part)
    return found


def _suiting(
    item: CylinderView, pistons: Sequence[Piston], nominal: int, route: Route
) -> Iterator[Span]:
    """Yield the finishes that suit a piston of this size at both ends of its tolerance."""
    windows = item.job.windows_for(item.cylinder)
    half, limit = route.half_width, item.job.bore_limit_for(item.cylinder)
    for part in pistons:
        window = find_window(windows, "clearance", stated=part.stated)
        least, most = OPEN if window is None else window.limits(nominal)
        low = part.skirt.high + half + (0 if least is None else least)
        tops = [max(nominal, low) if most is None else part.skirt.low + most - half]
        tops += [] if limit is None else [limit - half]
        if low <= min(tops):
            yield low, min(tops)


def _reached(item: CylinderView, route: Route, fitting: Span, before: Before) -> Iterator[Span]:
    """Yield the finishes one rebuild after each earlier finish: cleaned up, not cut too far."""
    wear = item.job.wear_for(item.cylinder) or 0
    for (below, above), spans in before.items():
        least = above + wear + route.min_cut + route.half_width
        for first, last in spans:
            low, high = max(fitting[0], first + least), fitting[1]
            if route.max_cut is not None:
                if least > route.max_cut - below:
                    continue
                high = min(high, last + route.max_cut - below)
            if low <= high:
                yield low, high
