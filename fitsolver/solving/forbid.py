"""Exclude a selection and every other with the same parts and routes (a no-good cut)."""

from __future__ import annotations

from collections.abc import Iterator

from ortools.sat.python import cp_model

from fitsolver.choices.selection import CylinderSelection, Selection
from fitsolver.solving.terms import Expr, total
from fitsolver.solving.variables import CylinderVars, Model


def forbid(model: Model, selection: Selection) -> None:
    """Require every further solution to differ in a piston, ring, gasket number or route.

    Sizes, purchases and the choice between pieces of one number do not count: they follow from the
    parts.
    """
    same: list[Expr] = []
    other: list[cp_model.IntVar] = []
    for cylinder, chosen in zip(model.cylinders, selection.cylinders, strict=True):
        same += _same(cylinder, chosen)
    for place in model.job.gaskets:
        for cylinder, chosen in zip(model.cylinders, selection.cylinders, strict=True):
            other += _other_stack(model, cylinder, place.place, chosen.stacks[place.place])
            if place.shared:
                break
    model.cp.add(
        cp_model.LinearExpr.sum(same) <= len(same) - 1 + total([(1, differs) for differs in other])
    )


def _same(cylinder: CylinderVars, chosen: CylinderSelection) -> Iterator[Expr]:
    """Yield a literal for the option and for each ring: 1 where it is chosen again."""
    piston, route = chosen.option.piston.candidate.part.number, chosen.option.route.route.name
    yield total(
        [
            (1, x)
            for option, x in cylinder.options
            if option.piston.candidate.part.number == piston and option.route.route.name == route
        ]
    )
    for groove, ring in chosen.rings.items():
        number = ring.candidate.part.number
        yield total(
            [
                (1, y)
                for it, y in cylinder.rings.get(groove, ())
                if it.candidate.part.number == number
            ]
        )


def _other_stack(
    model: Model, cylinder: CylinderVars, place: str, stack: dict[str, int]
) -> Iterator[cp_model.IntVar]:
    """Yield variables that are 1 only where the stack is another.

    A stack that takes no less of any gasket and no more in all is the same.
    """
    counts = cylinder.stacks[place]
    more = model.cp.new_bool_var("")
    taken = total([(1, count) for _, count in counts])
    model.cp.add(taken >= sum(stack.values()) + 1).only_enforce_if(more)
    yield more
    for gasket, count in counts:
        if gasket.number in stack:
            less = model.cp.new_bool_var("")
            model.cp.add(count <= stack[gasket.number] - 1).only_enforce_if(less)
            yield less
