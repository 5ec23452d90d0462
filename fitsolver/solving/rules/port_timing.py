"""`port_timing`: the gaskets under the cylinder set the crown height that times the ports.

The angle rises with the travel from top dead centre to the port's edge, so that its window is one
of whole ticks on what lies under the cylinder: linear, and rounded inwards once.
"""

from __future__ import annotations

from fitsolver.fits.port_timing import UNDER_THE_CYLINDER
from fitsolver.solving.stacks import bound
from fitsolver.solving.variables import Model


def post(model: Model) -> None:
    """Post what the base gaskets must at least and may at most measure with the piston chosen."""
    for cylinder in model.cylinders:
        asked = [
            (o.piston.stack.base_low, o.piston.stack.base_high, x) for o, x in cylinder.options
        ]
        bound(model.cp, model.job.gaskets, cylinder.stacks, asked, UNDER_THE_CYLINDER)
