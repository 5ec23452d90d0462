"""`bore_limit`: `H <= limit`."""

from __future__ import annotations

from fitsolver.solving.posting import sizes_at_most
from fitsolver.solving.variables import Model


def post(model: Model) -> None:
    """Post the rule for every cylinder that has a bore limit."""
    sizes_at_most(model, "bore_limit")
