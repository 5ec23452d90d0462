"""`squish`: `base - compression height + compressed stack` is inside its window."""

from __future__ import annotations

from typing import Literal

from fitsolver.solving.posting import refuse
from fitsolver.solving.variables import CylinderVars, Expr, Model, total


def post(model: Model) -> None:
    """Post what the stack must at least and may at most measure with the piston chosen."""
    refuse(model, "squish")
    for cylinder in model.cylinders:
        _lowest(model, cylinder)
        _highest(model, cylinder)


def _lowest(model: Model, cylinder: CylinderVars) -> None:
    """`sum t_lo >= low - base_lo + CH_hi`; an option without that edge asks for no stack."""
    asked = [
        (option.piston.stack_low, x)
        for option, x in cylinder.options
        if option.piston.stack_low is not None
    ]
    if asked:
        model.cp.add(_stack(cylinder, "low") >= total(asked))


def _highest(model: Model, cylinder: CylinderVars) -> None:
    """`sum t_hi <= high - base_hi + CH_lo`; an option without that edge takes any stack."""
    thickest = sum(
        max((gasket.compressed.high for gasket, _ in stack), default=0)
        * next(place.most for place in model.job.gaskets if place.place == name)
        for name, stack in cylinder.stacks.items()
    )
    allowed = [
        (thickest if option.piston.stack_high is None else option.piston.stack_high, x)
        for option, x in cylinder.options
    ]
    if any(option.piston.stack_high is not None for option, _ in cylinder.options):
        model.cp.add(_stack(cylinder, "high") <= total(allowed))


def _stack(cylinder: CylinderVars, side: Literal["low", "high"]) -> Expr:
    return total(
        [
            (getattr(gasket.compressed, side), count)
            for stack in cylinder.stacks.values()
            for gasket, count in stack
        ]
    )
