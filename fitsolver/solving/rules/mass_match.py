"""`mass_match`: largest mass less smallest mass of a set, tolerances included, within a limit."""

from __future__ import annotations

from fitsolver.solving.terms import Expr, total
from fitsolver.solving.variables import CylinderVars, Model


def post(model: Model) -> None:
    """Post `heaviest of one - lightest of another <= limit` for every pair of a set."""
    for rule in model.job.mass_match:
        cylinders = model.named(rule.cylinders)
        for one in cylinders:
            for other in cylinders:
                model.cp.add(_mass(one, 1) - _mass(other, 0) <= rule.limit)


def _mass(cylinder: CylinderVars, side: int) -> Expr:
    """The least (side 0) or most (side 1) mass of the piston chosen, in mg."""
    return total(
        [
            (option.piston.candidate.mass[side], x)
            for option, x in cylinder.options
            if option.piston.candidate.mass is not None
        ]
    )
