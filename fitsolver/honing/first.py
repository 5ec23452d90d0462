"""A first figure for stones without a check so far: few strokes, with their basis.

Without a trend no risk can be computed. The advice is a condition: up to a stated removal a stroke,
the highest size is not passed. The pace is twice that of the same stones earlier in the log, else
the common one at the hone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import ceil, floor, sqrt
from typing import Final, NamedTuple

from fitsolver.honing.advice import FASTEST, GAUGE_DEGREES
from fitsolver.honing.checks import Check
from fitsolver.honing.states import states
from fitsolver.metrology.student import t_quantile
from fitsolver.records.hone import CountedIn, FirstStrokes

#: Factor on the fastest known pace: the stones may be sharper now, another bore softer (own
#: choice).
DOUBLED: Final = 2
#: The least removal of a stroke of fine stones: no advice asks for less (0.0005 mm; own choice).
LIGHTEST: Final = 50.0
#: The largest share of the stock above the lowest size to remove at once (as between two checks).
_SHARE: Final = 0.5
#: Strokes after which the first check comes at the latest (common practice, no source).
MOST: Final = 20


class Pace(NamedTuple):
    """The fastest pace (ticks per stroke or second) of some stones, and the number of steps."""

    fastest: float
    steps: int


#: Paces by the name of the stones and what is counted.
Paces = dict[tuple[str, CountedIn], Pace]


def paces_of(cylinders: Iterable[Sequence[Check]]) -> Paces:
    """Return the fastest pace of every named kind of stones that removed metal.

    A step lies between two checks of a cylinder, with strokes of one kind of stones and no bar's
    cut or new sleeve. Its pace is the mean over the places read in both. A step with doubted and
    accepted figures counts too: it may be the fastest of all.
    """
    found: Paces = {}
    for checks in cylinders:
        for before, after in pairwise(states(list(checks))):
            both = before.places.keys() & after.places.keys()
            count = after.count - before.count
            if not after.stones or not both or not count or after.cut:
                continue
            taken = sum(after.places[place] - before.places[place] for place in both) / len(both)
            key = after.stones, after.counted_in
            known = found.get(key, Pace(0.0, 0))
            if taken > 0:
                found[key] = Pace(max(known.fastest, taken / count), known.steps + 1)
    return found


def first_strokes(
    smallest: int, largest: int, low: int, high: int, noise: float, risk: float, pace: Pace | None
) -> FirstStrokes:
    """Return the strokes to take with stones without a check so far (sizes in ticks).

    `smallest`, `largest` are the local sizes now, `low`, `high` the permitted ones, `noise` the
    standard deviation of a check's largest size. The count is the largest whole k, up to `MOST`,
    with

        largest + rate k + t noise sqrt(2) <= high   and   rate k <= (low - smallest) / 2

    (one stroke where the first alone permits it), t the one-sided quantile at 1 - `risk`. If k is
    0, the advice is one stroke, on condition that it removes no more than the first inequality
    leaves.
    """
    rate = FASTEST if pace is None else DOUBLED * pace.fastest
    allowed = t_quantile(1 - risk, GAUGE_DEGREES) * noise * sqrt(2)
    room = floor((high - largest - allowed) / rate)
    wanted = max(1, floor(_SHARE * (low - smallest) / rate))
    count = max(0, min(wanted, room, MOST))
    light = None if count else lightest(largest, high, noise, risk)
    return light or FirstStrokes(
        count=count,
        rate=rate,
        basis="common practice" if pace is None else "same stones",
        steps=0 if pace is None else pace.steps,
        largest=ceil(largest + rate * count + allowed),
    )


def lightest(largest: int, high: int, noise: float, risk: float) -> FirstStrokes | None:
    """Return one stroke that removes at most the distance to the highest size less the gauge's
    error; None where that is less than a stroke of the finest stones."""
    left = high - largest - t_quantile(1 - risk, GAUGE_DEGREES) * noise * sqrt(2)
    if left < LIGHTEST:
        return None
    return FirstStrokes(count=1, rate=left, basis="what is left", largest=high)
