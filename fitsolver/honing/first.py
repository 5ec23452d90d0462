"""A first figure for stones that no check tells of yet: few strokes, and what that rests on.

There is no line to foretell from, so no risk can be computed. What can be said is a condition: as
long as a stroke takes no more than so much, the highest size is not passed. The pace is that of the
same stones earlier in the log, doubled; else what is common at the hone.
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

#: Stones seen before may be sharper now, and another bore softer: so many times the fastest pace
#: that was seen of them (own choice).
DOUBLED: Final = 2
#: The least that a stroke of fine stones takes: less than that is not asked of a hand (0.0005 mm;
#: own choice).
LIGHTEST: Final = 50.0
#: Of what is left to the lowest size, the most that is gone at once (as between two checks).
_SHARE: Final = 0.5
#: Strokes after which the first check comes at the latest (common practice, no source).
MOST: Final = 20


class Pace(NamedTuple):
    """The fastest pace (ticks per stroke or second) seen of some stones, and in how many steps."""

    fastest: float
    steps: int


#: Paces by the name of the stones and what is counted.
Paces = dict[tuple[str, CountedIn], Pace]


def paces_of(cylinders: Iterable[Sequence[Check]]) -> Paces:
    """Return the fastest pace of every kind of stones that has a name and took metal.

    A step lies between two checks of a cylinder with strokes of one kind of stones only, and no
    bar's cut or new sleeve; its pace is the mean over the places that both read. One whose doubted
    figures were accepted counts too: it may be the sharpest of all.
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
    """Return how many strokes to take with stones of which no check tells (sizes in ticks).

    `smallest`, `largest` are the local sizes now, `low`, `high` the permitted ones, `noise` the
    standard deviation of a check's largest size. The count is the largest whole k, up to `MOST`,
    with

        largest + rate k + t noise sqrt(2) <= high   and   rate k <= (low - smallest) / 2

    (one stroke where the first alone permits it), t the one-sided quantile at 1 - `risk`. Where
    that is zero, it is one stroke that takes no more than what is left in the first.
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
    """Return one stroke that takes no more than what is left to the highest size, less the gauge's
    error; None where that is less than a stroke of the finest stones."""
    left = high - largest - t_quantile(1 - risk, GAUGE_DEGREES) * noise * sqrt(2)
    if left < LIGHTEST:
        return None
    return FirstStrokes(count=1, rate=left, basis="what is left", largest=high)
