"""`ring_seat`: `D0 - L <= most over the bore`, `D0 - H >= least`."""

from __future__ import annotations

from fitsolver.solving.posting import ring_bounds
from fitsolver.solving.variables import Model


def post(model: Model) -> None:
    """Post the rule for every ring in every groove."""
    ring_bounds(model, "ring_seat")
