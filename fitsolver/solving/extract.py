"""The selection that a solution of the model stands for."""

from __future__ import annotations

from ortools.sat.python import cp_model

from fitsolver.choices.selection import Bought, CylinderSelection, Selection
from fitsolver.solving.variables import CylinderVars, Model, SupplyVars


def extract(model: Model, solver: cp_model.CpSolver) -> Selection:
    """Return the choices, sizes and purchases that a solution stands for."""
    return Selection(
        cylinders=tuple(_cylinder(cylinder, solver) for cylinder in model.cylinders),
        kits=_bought(model.kits, solver),
        singles=_bought(model.singles, solver),
    )


def _cylinder(cylinder: CylinderVars, solver: cp_model.CpSolver) -> CylinderSelection:
    return CylinderSelection(
        option=next(option for option, x in cylinder.options if solver.value(x)),
        low=solver.value(cylinder.low),
        high=solver.value(cylinder.high),
        rings={
            groove: ring
            for groove, rings in sorted(cylinder.rings.items())
            for ring, y in rings
            if solver.value(y)
        },
        stacks={
            place: {
                gasket.number: solver.value(count) for gasket, count in stack if solver.value(count)
            }
            for place, stack in cylinder.stacks.items()
        },
    )


def _bought(supply: dict[str, SupplyVars], solver: cp_model.CpSolver) -> dict[str, Bought]:
    found = {
        number: Bought(solver.value(item.stock), solver.value(item.ordered))
        for number, item in supply.items()
    }
    return {number: bought for number, bought in found.items() if bought != Bought()}
