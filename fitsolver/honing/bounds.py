"""What a check may read: bounds from the readings before, the strokes taken and its neighbours.

Sizes are ticks at 20 °C. With b the last reading of a place that stands, g its allowed growth since
then, u the standard deviation of a reading and t = 4 sqrt(2) u:

    b - t <= x <= b + g + t                     metal does not come back; g = strokes x pace
    x <= max over N of x + max(0, b - max over N of b) + t + s
    x >= min over N of x - max(0, min over N of b - b) - t - s

N are the neighbours: the other axes at its depth, the next depths read on its axis. A hone cuts
what stands in, so a place sticks out of its neighbours, or lags behind them, no more than before.
s is a share of the mean removal of the step.

Two slips at one depth hold each other up: so the bound upwards is looked at once more with the
next depths of the axis alone as N, where a place grew more than QUICKER times what they did.
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
#: However slow stones were, fresh or pressed harder they may take 0.001 mm a stroke (own choice).
LEAST_PACE: Final = 100.0
#: Freshly dressed, or pressed harder, stones may take so many times what they took at the fastest
#: place before (own choice).
QUICKER: Final = 3
#: Stones dull, but not to less than this share of their pace between two checks (own choice).
DULLED: Final = 4
#: Of the mean removal of a step, how much one place alone may differ (own choice).
UNEVEN: Final = 0.1
#: A bar cuts to one size: local sizes this far around it, where the stage does not say (ticks; own
#: choice).
BAR_SCATTER: Final = 2_000
#: A reading that would by itself make the bore too large is doubted where it stands so many
#: standard deviations above the middle of the others (own choice).
ALONE: Final = 3.0
_FEWEST: Final = 2
_TWICE: Final = 2

Why = Literal["shrunk", "quick", "high", "low", "beyond", "cut", "alone"]


class Base(NamedTuple):
    """The last reading of a place that stands: its size, in which check, and the growth allowed
    up to then (all of it counted from the log's start)."""

    size: int
    number: int
    growth: float
    cut: int


class Found(NamedTuple):
    """A reading out of bounds: where, why, and the nearest size that would be taken."""

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
    """Return the readings that their own place's last reading contradicts."""
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
    """Tell whether a reading below its place's last one shows that the last was too high.

    `before` are the readings before the last. The change of the place since then, less the middle
    change of its neighbours, is how far a reading stands out: the last one stood out at least twice
    as far as this one does (own choice).
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
    """Return the readings that their neighbours contradict, the one furthest off first.

    Each that is found is left out before the next is looked for.
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
    """Return the readings that stand out of the next depths on their axis further than before.

    Only those that grew by more than QUICKER times what the depths beside them, and the middle of
    the bore, did: at its ends a hone may cut more than elsewhere. `sizes` are all that were read
    now; beside a place alone, the others are taken as large as they may be by now.
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
    """Return the readings that a bar's cut, or a new sleeve, cannot leave.

    All are of one size, but those the bar did not reach; and the hone still needs metal.
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
