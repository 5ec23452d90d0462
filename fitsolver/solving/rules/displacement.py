"""`displacement`: `pi/4 S (sum E^2 + other bores) <= limit`, E = H less the option's offset."""

from __future__ import annotations

from math import isqrt

from ortools.sat.python import cp_model

from fitsolver.fits.displacement import largest_sum_of_squares
from fitsolver.solving.terms import total
from fitsolver.solving.variables import CylinderVars, Model


def post(model: Model) -> None:
    """Post the rule where the largest sizes the options allow could break it."""
    engine = model.job.engine
    if engine.displacement_limit is None or engine.stroke is None:
        return
    room = largest_sum_of_squares(engine.displacement_limit, engine.stroke)
    room -= sum(bore * bore for bore in engine.other_bores)
    if sum(_largest(cylinder) ** 2 for cylinder in model.cylinders) <= room:
        return
    # No bore alone may exceed what all may come to; it also keeps the squares within 64 bits.
    most = isqrt(max(0, room))
    squares = [_square(model, cylinder, most) for cylinder in model.cylinders]
    model.cp.add(cp_model.LinearExpr.sum(squares) <= room)


def _largest(cylinder: CylinderVars) -> int:
    return max(
        (option.ceiling_high - option.size_offset for option, _ in cylinder.options), default=0
    )


def _square(model: Model, cylinder: CylinderVars, most: int) -> cp_model.IntVar:
    offset = total([(option.size_offset, x) for option, x in cylinder.options])
    largest = min(_largest(cylinder), most)
    size = model.cp.new_int_var(0, largest, "")
    model.cp.add(size == cylinder.high - offset)
    square = model.cp.new_int_var(0, largest * largest, "")
    model.cp.add_multiplication_equality(square, [size, size])
    return square
