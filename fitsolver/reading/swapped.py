"""Depths and figures of readings in each other's columns.

Common practice, no source: over its length a bore differs by hundredths, and one that differs by
millimetres is past measuring; readings are taken at depths millimetres apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median_low
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import TICKS_PER, exact_text
from fitsolver.reading.readings import Taken

#: Figures of one bore never lie this far apart (ticks), and depths of its readings do.
_APART: Final = 2 * TICKS_PER["mm"]
#: A depth this near the sizes of the bore (percent of them) may be one of them.
_NEAR: Final = 2


def check_columns(taken: Sequence[Taken]) -> None:
    """Refuse the readings of a cylinder whose depths and figures are swapped.

    All of them: the depths differ, by less than 2 mm, and the figures by more. Some of them: the
    depth, which no other reading has, is about a bore size, and the size is not.
    Raises InputError with the file, the first such row and how many there are.
    """
    swapped = list(taken) if _all_swapped(taken) else _rows_swapped(taken)
    if not swapped:
        return
    first, rest = swapped[0], len(swapped) - 1
    more = f" (and {rest} more {'row' if rest == 1 else 'rows'})" if rest else ""
    depth = exact_text(first.reading.depth, first.unit)
    raise InputError(
        f"the depth and the {first.field} stand in each other's place{more}",
        file=first.file,
        row=first.row,
        field=first.field,
        found=f"depth {depth}, {first.field} {first.typed}",
        allowed=f"the depth from the top face as depth, the bore there as {first.field}",
    )


def _figure(one: Taken) -> int:
    return one.reading.size if one.reading.dial is None else one.reading.dial


def _all_swapped(taken: Sequence[Taken]) -> bool:
    depths = {one.reading.depth for one in taken}
    figures = [_figure(one) for one in taken]
    if len(depths) < 2 or min(figures) < 0:
        return False
    return max(depths) - min(depths) < _APART < max(figures) - min(figures)


def _rows_swapped(taken: Sequence[Taken]) -> list[Taken]:
    """Return single rows; of dials none can be told, for no depth looks like a deviation."""
    sized = [one for one in taken if one.reading.dial is None]
    if len(sized) < 3:
        return []
    middle = median_low(one.reading.size for one in sized)
    depths = [one.reading.depth for one in taken]
    return [
        one
        for one in sized
        if abs(one.reading.depth - middle) * 100 <= _NEAR * middle
        and abs(one.reading.size - middle) > max(_APART, middle * _NEAR // 100)
        and depths.count(one.reading.depth) == 1
    ]
