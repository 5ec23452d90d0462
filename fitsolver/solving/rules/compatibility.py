"""`compatibility`: the piston takes the engine's pin, the ring is not deeper than its groove."""

from __future__ import annotations

from fitsolver.solving.posting import refuse, refuse_rings
from fitsolver.solving.variables import Model


def post(model: Model) -> None:
    """Forbid pistons for another pin and rings too deep for their groove."""
    refuse(model, "compatibility")
    refuse_rings(model, "compatibility")
