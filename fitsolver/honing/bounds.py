"""Plausible readings of a check: bounds from earlier readings, strokes and neighbours.

Sizes are ticks at 20 °C. With b the last reading of a place that stands, g its allowed growth since
then, u the standard deviation of a reading and t = 4 sqrt(2) u:

    b - t <= x <= b + g + t                     metal does not come back; g = strokes x pace
    x <= max over N of x + max(0, b - max over N of b) + t + s
    x >= min over N of x - max(0, min over N of b - b) - t - s

N are the neighbours: the other axes at its depth, the next depths read on its axis. A hone cuts
tight spots first, so a place deviates from its neighbours no more than before. s is a share of the
mean removal of the step.

Two slips at one depth support each other. So the upper bound is tested again with only the next
depths of the axis as N, where a place grew more than QUICKER times as much as they did.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median
from typing import Final, Literal, NamedTuple

from fitsolver.honing.advice import FASTEST
from fitsolver.honing.checks import Place, Places

#: Where nothing is known of the stones: a place that stands in may be cut at twice the pace of the
#: whole bore (common practice, no source).
UNKNOWN_PACE: Final = 2 * FASTEST
#: Even slow stones, fresh or pressed harder, may take 0.001 mm a stroke (own choice).
LEAST_PACE: Final = 100.0
#: Factor on the pace at the fastest place, for stones freshly dressed or pressed harder (own
#: choice).
QUICKER: Final = 3
#: Stones dull, but not to less than this share of their pace between two checks (own choice).
DULLED: Final = 4
#: Share of the mean removal of a step by which one place may differ (own choice).
UNEVEN: Final = 0.1
#: A bar cuts to one size: tolerance of local sizes where the stage states none (ticks; own choice).
BAR_SCATTER: Final = 2_000
#: A reading that alone makes the bore too large is doubted from this many standard deviations above
#: the median of the others (own choice).
ALONE: Final = 3.0
_FEWEST: Final = 2
_TWICE: Final = 2

Why = Literal["shrunk", "quick", "high", "low", "beyond", "cut", "alone"]


class Base(NamedTuple):
    """The last reading of a place that stands: its size, its check, and the growth allowed up to
    then (from the start of the log)."""

    size: int
    number: int
    growth: float
    cut: int


class Found(NamedTuple):
    """A reading out of bounds: its place, the reason, and the nearest acceptable size."""

    place: Place
    why: Why
    bound: float


@dataclass(frozen=True, slots=True)
class Limits:
    """What bounds one check: `repeat` and `shift` are 4 sqrt(2) standard deviations of the gauge
    alone, and with the temperature's, `middle` is that of the middle of a check's readings, `one`
    the standard deviation of a reading; `growth` is the allowed growth up to it, `cut` counts the
    cuts so far and `removed` is the mean removal since the check before, where it is known."""

    one: float
    repeat: float
    shift: float
    middle: float
    growth: float
    cut: int
    removed: float = 0.0
    high: int | None = None


def neighbours(place: Place, places: Sequence[Place]) -> list[Place]:
    """Return the other axes at a place's depth and the next depths read on its axis."""
    depth, angle = place
    found = [other for other in places if other[0] == depth and other[1] != angle]
    on_axis = sorted(other for other in places if other[1] == angle)
    above = [other for other in on_axis if other[0] < depth]
    below = [other for other in on_axis if other[0] > depth]
    return [*found, *above[-1:], *below[:1]]


def by_itself(sizes: Places, base: Mapping[Place, Base], limits: Limits) -> list[Found]:
    """Return the readings that contradict the last reading of their own place."""
    found = []
    for place, size in sizes.items():
        last = base.get(place)
        if last is None:
            continue
        if size < last.size - limits.shift:
            found.append(Found(place, "shrunk", last.size - limits.shift))
        most = largest(last, limits)
        if last.cut == limits.cut and size > most:
            found.append(Found(place, "quick", most))
    return found


def contradicts(
    place: Place,
    sizes: Places,
    base: Mapping[Place, Base],
    before: Mapping[Place, Base],
    limits: Limits,
) -> bool:
    """Tell whether a reading below the last one of its place shows the last one too high.

    `before` are the readings before the last. A reading's deviation is the change of its place less
    the median change of its neighbours. The last reading must deviate at least twice as much as
    this one (own choice).
    """
    last, first, size = base[place], before.get(place), sizes[place]
    if first is None or size >= last.size - limits.shift or first.cut != limits.cut:
        return False
    beside = [
        other
        for other in neighbours(place, list(sizes))
        if other in before and base[other].number == last.number and before[other].cut == first.cut
    ]
    if len(beside) < _FEWEST:
        return False
    then = median(base[other].size - before[other].size for other in beside)
    since = median(sizes[other] - before[other].size for other in beside)
    stood_out, stands_out = last.size - first.size - then, size - first.size - since
    return stood_out > 0 and _TWICE * abs(stands_out) <= stood_out


def out_of_line(sizes: Places, base: Mapping[Place, Base], limits: Limits) -> list[Found]:
    """Return the readings that contradict their neighbours, furthest off first.

    Each one found is left out of the search for the next.
    """
    left = {
        place: size
        for place, size in sizes.items()
        if place in base and base[place].cut == limits.cut
    }
    allowed = limits.repeat + UNEVEN * max(0.0, limits.removed)
    found: list[Found] = []
    while True:
        worst: tuple[float, Found] | None = None
        for place, size in left.items():
            beside = neighbours(place, list(left))
            if len(beside) < _FEWEST:
                continue
            was, now = [base[p].size for p in beside], [left[p] for p in beside]
            out = max(0, base[place].size - max(was))
            back = max(0, min(was) - base[place].size)
            upper, lower = max(now) + out + allowed, min(now) - back - allowed
            for by, new in (
                (size - upper, Found(place, "high", upper)),
                (lower - size, Found(place, "low", lower)),
            ):
                if by > 0 and (worst is None or by > worst[0]):
                    worst = by, new
        if worst is None:
            return found
        found.append(worst[1])
        del left[worst[1].place]


def above_and_below(
    looked_at: Places, sizes: Places, base: Mapping[Place, Base], limits: Limits
) -> list[Found]:
    """Return the readings that deviate from the next depths on their axis more than before.

    A reading counts only if it grew by more than QUICKER times as much as the depths beside it and
    the middle of the bore: at its ends a hone may cut more. `sizes` are all present readings;
    places not read now are taken at their largest plausible size.
    """
    since = [place for place in base if base[place].cut == limits.cut]
    found = []
    for place in (place for place in looked_at if place in since):
        read = [other for other in since if other in sizes]
        on_axis = [
            [p for p in neighbours(place, held) if p[1] == place[1]] for held in (read, since)
        ]
        beside = on_axis[0] or on_axis[1]
        if not beside:
            continue
        now = {p: sizes.get(p, largest(base[p], limits)) for p in beside}
        out = max(0, base[place].size - max(base[p].size for p in beside))
        grew = max(limits.removed, 0.0, *(now[p] - base[p].size for p in beside))
        level = max(now.values()) + out + limits.repeat + UNEVEN * grew
        bound = max(level, base[place].size + QUICKER * grew + limits.repeat)
        if looked_at[place] > bound:
            found.append(Found(place, "high", bound))
    return found


def largest(last: Base, limits: Limits) -> float:
    """Return the largest that a place may read by now."""
    return last.size + limits.growth - last.growth + limits.shift


def alone(sizes: Places, base: Mapping[Place, Base], limits: Limits) -> list[Found]:
    """Return the one reading above the highest permitted size, where it stands out by chance or by
    a slip: one reading orders no new parts."""
    high = limits.high
    over = [place for place, size in sizes.items() if high is not None and size > high]
    others = [place for place in sizes if place not in over and place in base]
    if high is None or len(over) != 1 or over[0] not in base or len(others) <= _FEWEST:
        return []
    place = over[0]
    out = base[place].size - median(base[p].size for p in others)
    middle = median(sizes[p] for p in others) + max(0.0, out)
    found = Found(place, "alone", max(high, middle + ALONE * limits.one))
    return [found] if sizes[place] > found.bound else []


def after_a_cut(sizes: Places, base: Mapping[Place, Base], limits: Limits) -> list[Found]:
    """Return the readings impossible after a bar's cut or in a new sleeve.

    All places have one size, except those the bar did not reach, and stock for honing remains.
    """
    found = []
    for place, size in sizes.items():
        last = base.get(place)
        if last is not None and abs(size - last.size) <= limits.shift:
            continue  # not reached by the bar
        if limits.high is not None and size > limits.high + limits.shift:
            found.append(Found(place, "beyond", limits.high + limits.shift))
            continue
        others = [other for p, other in sizes.items() if p != place]
        if len(others) <= _FEWEST:
            continue
        middle, allowed = median(others), limits.repeat + BAR_SCATTER
        if abs(size - middle) > allowed:
            bound = middle + allowed if size > middle else middle - allowed
            found.append(Found(place, "cut", bound))
    return found
