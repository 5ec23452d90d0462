"""The lowest and highest finish size that every rule permits with the parts chosen."""

from __future__ import annotations

from collections.abc import Iterable
from math import isqrt
from typing import NamedTuple

from fitsolver.choices.selection import CylinderSelection, Selection
from fitsolver.choices.types import NO_BOUND, Bound
from fitsolver.fits.displacement import largest_sum_of_squares
from fitsolver.records.job import Engine


class Permitted(NamedTuple):
    """Finish sizes in ticks: for the largest piston lowest and highest, for the smallest highest.

    `highest` and `highest_small` are None where no rule sets a highest size.
    """

    lowest: int
    highest: int | None
    highest_small: int | None


def permitted(
    chosen: CylinderSelection,
    largest: int | None,
    by_ratio: tuple[int | None, int | None] = (None, None),
) -> Permitted:
    """Return the permitted finish sizes of a machined cylinder.

    `largest` is the largest finish size that the displacement limit leaves (None: no limit),
    `by_ratio` the least L and the most H that the compression ratio permits.
    """
    option, rings = chosen.option, chosen.rings.values()
    half = option.route.route.half_width
    most = [bound.value for ring in rings for bound in ring.most]
    least = [option.route.base, *(bound.value for ring in rings for bound in ring.least)]
    least += [] if by_ratio[0] is None else [by_ratio[0]]
    most += [] if by_ratio[1] is None else [by_ratio[1]]
    if option.follows:
        lowest = max([*_values(option.least_high), *(v + 2 * half for v in least)]) - half
    else:
        lowest = max([*_values(option.least_low), *least]) + half
    others = [b.value for b in option.most_high if b.rule != "clearance"] + most
    limit = NO_BOUND if largest is None else largest
    highest = min([*_values(option.most_high), *most, limit + half]) - half
    small = min([*(v + 2 * half for v in _values(option.most_low)), *others, limit + half]) - half
    return Permitted(
        lowest, _or_none(highest), _or_none(small) if option.follows else _or_none(highest)
    )


def largest_for_displacement(engine: Engine, selection: Selection, index: int) -> int | None:
    """Return the largest finish size of one cylinder (ticks) with all others as chosen."""
    if engine.displacement_limit is None or engine.stroke is None:
        return None
    room = largest_sum_of_squares(engine.displacement_limit, engine.stroke)
    room -= sum(bore * bore for bore in engine.other_bores)
    for other, chosen in enumerate(selection.cylinders):
        if other != index:
            room -= (chosen.high - chosen.option.size_offset) ** 2
    return isqrt(max(0, room))


def _values(bounds: Iterable[Bound]) -> list[int]:
    return [bound.value for bound in bounds]


def _or_none(size: int) -> int | None:
    return None if size >= NO_BOUND else size
