"""Check of `route_cut`: material, route permitted by the job, `W - base <= max_cut`."""

from __future__ import annotations

from collections.abc import Iterator

from fitsolver.checking.view import CylinderView, PlanView


def violations(view: PlanView) -> Iterator[str]:
    """Yield every cylinder whose route is not one it may take."""
    for item in view.cylinders:
        route = item.route
        taken = {material.lower() for material in route.materials}
        if taken and item.cylinder.material.lower() not in taken:
            yield f"cylinder {item.name}: {route.name} is not for {item.cylinder.material}"
        if not _listed(item):
            yield f"cylinder {item.name}: {route.name} is not among the routes of the job"
        cut = item.plan.finish_large - item.base if route.machined else 0
        if route.max_cut is not None and cut > route.max_cut:
            yield f"cylinder {item.name}: {route.name} cannot cut that much"


def _listed(item: CylinderView) -> bool:
    listed = item.cylinder.routes or item.job.routes
    if item.job.finishing == "already finished":
        listed = ()
    pinned = item.cylinder.route
    return (not listed or item.route.name in listed) and pinned in (None, item.route.name)
