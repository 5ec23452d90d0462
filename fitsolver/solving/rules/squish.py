"""`squish`: `base - compression height + compressed stack` is inside its window."""

from __future__ import annotations

from fitsolver.solving.stacks import bound
from fitsolver.solving.variables import Model


def post(model: Model) -> None:
    """Post `sum t_lo >= low - base_lo + CH_hi` and `sum t_hi <= high - base_hi + CH_lo`."""
    for cylinder in model.cylinders:
        asked = [(o.piston.stack.low, o.piston.stack.high, x) for o, x in cylinder.options]
        bound(model.cp, model.job.gaskets, cylinder.stacks, asked)
