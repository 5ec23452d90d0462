"""`clearance`: every local size minus every skirt size in its range is inside the window."""

from __future__ import annotations

from fitsolver.solving.posting import sizes_at_least, sizes_at_most
from fitsolver.solving.variables import Model


def post(model: Model) -> None:
    """Post `L >= P + c_lo` and `H <= P + c_hi`, with the P that each option's finishing asks."""
    sizes_at_least(model, "clearance")
    sizes_at_most(model, "clearance")
