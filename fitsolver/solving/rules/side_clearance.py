"""`side_clearance`: groove width minus ring width is inside its window."""

from __future__ import annotations

from fitsolver.solving.posting import refuse_rings
from fitsolver.solving.variables import Model


def post(model: Model) -> None:
    """Forbid every ring whose width does not suit the groove of the pistons it would go on."""
    refuse_rings(model, "side_clearance")
