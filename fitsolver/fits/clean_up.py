"""Rule `clean_up`: a machined bore must clean up everywhere in the zone.

`finish - half_width >= largest local size + max(min_cut, 2 x deepest scratch)`: plain
geometry; a scratch of depth s stands open until the diameter has grown by 2 s.
"""

from __future__ import annotations

from fitsolver.records.catalogue import Route


def least_local_size(route: Route, largest: int, scratch: int) -> int:
    """Return the least local size (ticks) at which a bore machined by `route` is clean.

    `largest` is the largest local size that decides, `scratch` the deepest scratch, both in
    ticks. A restored bore starts from its restored size, without scratches.
    """
    if route.restored_bore is not None:
        return route.restored_bore + route.min_cut
    return largest + max(route.min_cut, 2 * scratch)


def clean_as_is(scratch: int) -> bool:
    """Tell whether a bore left as it is counts as clean: no scratch is left to remove."""
    return scratch == 0
