"""Check of `clean_up`: `V - h >= D_max + max(min_cut, 2 scratch)`; left as it is: no scratch."""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.checking.view import PlanView


def violations(view: PlanView) -> Iterator[str]:
    """Yield every cylinder that does not clean up."""
    for item in view.cylinders:
        scratch, route = item.cylinder.scratch, item.route
        if not route.machined:
            if scratch:
                yield f"cylinder {item.name}: a scratch stays in a bore left as it is"
            continue
        if route.restored_bore is not None:
            least = route.restored_bore + route.min_cut
        else:
            least = item.largest + max(route.min_cut, 2 * scratch)
        if item.plan.finish_small - route.half_width < least:
            yield f"cylinder {item.name}: the bore does not clean up"
