"""Rule `route_cut`: a route has materials it may be used on and a largest cut.

`finish - smallest local size <= max_cut`, on diameter.
"""

from __future__ import annotations

from fitsolver.records.catalogue import Route


def takes_material(route: Route, material: str) -> bool:
    """Tell whether the route may be used on `material` (an empty list takes any).

    Letter case counts for nothing.
    """
    plain = material.casefold()
    return not route.materials or any(plain == own.casefold() for own in route.materials)


def base_size(route: Route, smallest: int) -> int:
    """Return the size removal counts from (ticks): smallest local size, or the restored bore."""
    return smallest if route.restored_bore is None else route.restored_bore


def largest_finish(route: Route, smallest: int) -> int | None:
    """Return the largest finish size (ticks) the route can cut to; None = no limit."""
    if route.max_cut is None:
        return None
    return base_size(route, smallest) + route.max_cut
