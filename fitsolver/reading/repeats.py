"""Several readings at one place become one: their mean, with all of them kept beside it."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from fitsolver.base.errors import InputError
from fitsolver.base.lengths import TICKS_PER, floor
from fitsolver.reading.readings import Taken

#: Readings of one place lie at most this far apart (ticks); common practice, no source: a gauge
#: that repeats worse is broken, and a larger difference is a slip or another place.
REPEATS_WITHIN: Final = 3 * TICKS_PER["mm"] // 100


def mean(ticks: Sequence[int]) -> int:
    """Return the mean, rounded to the nearest tick, halves up.

    Halves up, not to even, so that a dial's mean on its zero is the mean of the sizes.
    """
    return floor(Fraction(sum(ticks), len(ticks)) + Fraction(1, 2))


def merged(taken: Sequence[Taken]) -> list[Taken]:
    """Return one reading for each depth and axis, in the order in which they come first.

    Raises InputError where readings of one place lie too far apart to be repeats.
    """
    places: dict[tuple[int, int], list[Taken]] = {}
    for one in taken:
        before = places.setdefault((one.reading.depth, one.reading.angle), [])
        for other in before:
            if abs(one.reading.size - other.reading.size) > REPEATS_WITHIN:
                raise _too_far(one, other)
        before.append(one)
    return [_one(together) for together in places.values()]


def _one(together: list[Taken]) -> Taken:
    first = together[0]
    if len(together) == 1:
        return first
    dials = [one.reading.dial for one in together if one.reading.dial is not None]
    sizes = tuple(one.reading.size for one in together)
    reading = first.reading.model_copy(
        update={
            "size": mean(sizes),
            "dial": mean(dials) if len(dials) == len(together) else None,
            "repeats": sizes,
        }
    )
    return first._replace(reading=reading)


def _too_far(one: Taken, other: Taken) -> InputError:
    return InputError(
        "there are two readings at one depth and axis, too far apart to be repeats",
        file=one.file,
        row=one.row,
        field=one.field,
        found=f"{one.typed}, and {other.typed} before",
        allowed=f"one reading at each depth and axis, or repeats within "
        f"{REPEATS_WITHIN / TICKS_PER['mm']:g} mm of each other",
    )
