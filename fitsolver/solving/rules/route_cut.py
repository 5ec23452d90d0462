"""`route_cut`: `H - half-width - base <= max_cut`, and the route takes the material."""

from __future__ import annotations

from fitsolver.solving.posting import refuse, sizes_at_most
from fitsolver.solving.variables import Model


def post(model: Model) -> None:
    """Post the largest cut, and forbid routes that are not for the cylinder's material."""
    sizes_at_most(model, "route_cut")
    refuse(model, "route_cut")
