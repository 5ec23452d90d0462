"""How far to hone before the next check, so that passing the highest size is improbable.

Numbers only: sizes in ticks at 20 °C, counts in strokes (or seconds). One check is one state of the
bore, for any number of readings. The model of a pass is `pace`; the limit of its risk comes from
`risks`.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil, floor, hypot, sqrt
from typing import Final

from fitsolver.honing.pace import MOST_PASSES, Pace, Pass, jumped, pace_of
from fitsolver.metrology.student import t_above

#: Degrees of freedom of the gauge's stated scatter: JCGM 100:2008, G.4.2, at 25 %.
GAUGE_DEGREES: Final = 8
#: While fewer passes than these tell the scatter of the pace, or what is left is further than the
#: passes so far went together, no more than this share of it is gone at once (own choice).
_SHARE: Final = 0.5
_FEWEST_PASSES: Final = 3
#: The most that a stroke, or a second, takes off the diameter under a hand-held hone: 0.005 mm
#: (common practice, no source).
FASTEST: Final = 500.0
#: Number of last passes whose fastest bounds the next one: a mistyped count makes one pass look
#: slow, not both (own choice).
_FEWEST_FAST: Final = 2
#: One pass in this many is assumed at the fastest pace of these stones, dressed or pressed harder
#: without an entry in the log (own choice).
DRESSED_UNSAID: Final = 0.2
#: Factor on the pace of stones that were dressed or are pressed harder (own choice).
SHARPER: Final = 3
#: Resolution of predicted sizes (ticks).
_NEAR: Final = 0.01
#: More strokes than this at once are never advised.
_MOST_COUNT: Final = 100_000
#: The most repeated readings of one place that count as independent: they share the hand and the
#: zero (own choice).
MOST_REPEATS: Final = 4


@dataclass(frozen=True, slots=True)
class Checks:
    """States of the bore under the stones now in use, oldest first. Each holds the count so far,
    the number of readings, and the smallest, largest and mean size over the common places."""

    counts: Sequence[int]
    smallest: Sequence[float]
    largest: Sequence[float]
    mean: Sequence[float]
    times: Sequence[int] = ()

    def read(self, place: int) -> int:
        """Return how often a state was read, as far as it counts."""
        return min(self.times[place], MOST_REPEATS) if self.times else 1


@dataclass(frozen=True, slots=True)
class Noise:
    """Standard deviation of a check's extreme size and of its mean size, in ticks; `common` and
    `drift` are their systematic parts, equal in every reading, which repeats do not reduce."""

    extreme: float
    mean: float
    common: float = 0.0
    drift: float = 0.0

    def of_extreme(self, times: int) -> float:
        return _repeated(self.extreme, self.common, times)

    def of_mean(self, times: int) -> float:
        return _repeated(self.mean, self.drift, times)


def _repeated(whole: float, common: float, times: int) -> float:
    return hypot(sqrt(max(0.0, whole**2 - common**2) / times), common)


@dataclass(frozen=True, slots=True)
class Step:
    """The next step: `count` is 0 where even one stroke exceeds the risk. `risk` is the probability
    of passing the highest size with this count (with one stroke if it is 0), `limit` its limit.
    `whole`: the count was not cut to a share of the remaining stock. `again`: further readings that
    would permit a stroke (0: no number would)."""

    count: int
    risk: float
    limit: float
    whole: bool
    ahead: Ahead
    again: int = 0

    @property
    def upper(self) -> float:
        """Return the largest size after the step that is exceeded with probability `limit`."""
        return self.ahead.upper(self.count, self.limit)


@dataclass(frozen=True, slots=True)
class Ahead:
    """The largest size after k more strokes of the stones now in use.

    `base` is the largest size as read, `unsure` its standard deviation. `rate` is the pace for the
    prediction, `fastest` the fastest pace of these stones in the log; `passes` are the passes
    behind them. `quicker` is the pace of the last pass where it jumped, else 0.
    """

    base: float
    unsure: float
    rate: float
    fastest: float
    pace: Pace
    passes: int
    quicker: float = 0.0

    @property
    def sharpest(self) -> float:
        """Return the worst-case pace of dressed stones: `SHARPER` times the pace before, at most
        the common maximum. At this pace the size as read must not pass the highest."""
        common = FASTEST if self.passes < _FEWEST_FAST else min(SHARPER * self.rate, FASTEST)
        return max(self.fastest, common)

    def risk(self, count: int, high: float) -> float:
        """Return the probability that the largest size is above `high` after `count` strokes."""
        usual, quick = (self._above(count, rate, high) for rate in (self.rate, self.fastest))
        return (1 - DRESSED_UNSAID) * usual + DRESSED_UNSAID * quick

    def permits(self, count: int, high: float, limit: float) -> bool:
        """Tell whether a count of strokes keeps within a limit of the risk, even if stones
        sharpen."""
        return self.base + self.sharpest * count <= high and self.risk(count, high) <= limit

    def upper(self, count: int, risk: float) -> float:
        """Return the largest size that is exceeded with `risk` after `count` strokes."""
        least = most = self.base
        width = self.unsure + self.fastest * count
        while self.risk(count, most) > risk:
            least, most, width = most, most + width, 2 * width
        while most - least > _NEAR:
            middle = (least + most) / 2
            least, most = (least, middle) if self.risk(count, middle) <= risk else (middle, most)
        return most

    def _above(self, count: int, rate: float, high: float) -> float:
        """Student's t; the degrees of freedom by Welch and Satterthwaite (JCGM 100:2008, G.4.1)."""
        gauge, strokes = self.unsure**2, (rate * count * self.pace.of_next) ** 2
        shares = gauge**2 / GAUGE_DEGREES + strokes**2 / self.pace.degrees
        degrees = int((gauge + strokes) ** 2 / shares)
        return t_above((high - self.base - rate * count) / sqrt(gauge + strokes), degrees)


def passes_of(checks: Checks, noise: Noise) -> list[Pass]:
    """Return the passes between the states of a bore."""
    errors = [noise.of_mean(checks.read(place)) ** 2 for place in range(len(checks.counts))]
    ends = zip(
        pairwise(checks.counts),
        pairwise(checks.mean),
        pairwise(checks.largest),
        pairwise(errors),
        strict=True,
    )
    return [
        Pass(now - then, after - before, largest - before_largest, sum(error))
        for (then, now), (before, after), (before_largest, largest), error in ends
        if now > then
    ]


def ahead_of(checks: Checks, noise: Noise, seen: float = 0.0) -> Ahead | None:
    """Return the prediction from the passes so far; None where they show no removal.

    `seen` is the fastest pace of these stones elsewhere in the log. The rate is the largest of
    three: that of the mean size, that of the largest size, and that of the last pass where it
    jumped.
    """
    passes = passes_of(checks, noise)
    latest = passes[-MOST_PASSES:]
    pace = pace_of(latest)
    if pace is None:
        return None
    largest = sum(w * item.grew / item.count for w, item in zip(pace.weights, latest, strict=True))
    quicker = jumped(passes)
    rate = max(pace.rate, largest, quicker)
    every = pace_of(passes)
    fastest = max(rate, seen, every.fastest if every else 0.0)
    read = noise.of_extreme(checks.read(len(checks.counts) - 1))
    return Ahead(checks.largest[-1], read, rate, fastest, pace, len(passes), quicker)


def next_step(
    checks: Checks, low: float, high: float, noise: Noise, limit: float, seen: float = 0.0
) -> Step | None:
    """Return how many strokes to take before the next check; None while no rate is known.

    `low`, `high` are the permitted local sizes, `limit` is the permitted risk of passing `high` in
    this pass. The count stops at the lowest size. It is halved while the scatter of the pace is
    unknown, where the pace jumped, and where the distance exceeds that of all passes so far. The
    largest size as read must stay below `high` even with sharper stones.
    """
    ahead = ahead_of(checks, noise, seen)
    if ahead is None:
        return None
    left = max(0.0, low - checks.smallest[-1])
    wanted = max(1, ceil(min(left / ahead.pace.rate, _MOST_COUNT)))
    known = ahead.passes >= _FEWEST_PASSES and not ahead.quicker
    whole = known and wanted <= checks.counts[-1] - checks.counts[0]
    if not whole:
        wanted = max(1, floor(wanted * _SHARE))
    count = _most(wanted, lambda k: ahead.permits(k, high, limit))
    again = 0 if count else _again(checks, high, noise, limit, seen)
    return Step(count, ahead.risk(max(1, count), high), limit, whole, ahead, again)


def _again(checks: Checks, high: float, noise: Noise, limit: float, seen: float) -> int:
    """Return how many further equal readings of the present bore would permit one stroke."""
    times = list(checks.times or [1] * len(checks.counts))
    for more in range(1, MOST_REPEATS - times[-1] + 1):
        read = replace(checks, times=[*times[:-1], times[-1] + more])
        ahead = ahead_of(read, noise, seen)
        if ahead and ahead.permits(1, high, limit):
            return more
    return 0


def _most(wanted: int, holds: Callable[[int], bool]) -> int:
    """Return the largest count, at most `wanted`, that holds; 0 where none does."""
    if holds(wanted):
        return wanted
    return bisect_left(range(1, wanted), True, key=lambda count: not holds(count))
