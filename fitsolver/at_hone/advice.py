"""How far to go before the next check, so that passing the highest size is improbable.

Numbers only: sizes in ticks at 20 °C, counts in strokes (or seconds). The scatter of a check
about the line is not known from a few checks, so what is known of the gauge counts beside it:
the two variances are pooled by their degrees of freedom (JCGM 100:2008, G.4.2: a standard
uncertainty known to a quarter of itself has eight).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor, sqrt
from typing import Final

from fitsolver.at_hone.line import Line, fit_line
from fitsolver.metrology.student import t_quantile

#: Degrees of freedom of the gauge's stated scatter: JCGM 100:2008, G.4.2, at 25 %.
GAUGE_DEGREES: Final = 8
#: Checks that a line is fitted to: stones dull, so older ones tell less (own choice).
MOST_CHECKS: Final = 6
#: Of what is left to the lowest size, the most that is gone at once while there are fewer checks
#: than give the line a scatter of its own, or more strokes to go than the line is long (own
#: choice).
_SHARE: Final = 0.5
_FEWEST_CHECKS: Final = 3
#: The most that a stroke, or a second, takes off the diameter under a hand-held hone: 0.005 mm
#: (common practice, no source).
FASTEST: Final = 500.0
#: Steps between checks whose own pace bounds the next one: a count typed wrong makes one of them
#: look slow, and not both (own choice).
_STEPS: Final = 2
#: More strokes than this at once are never advised.
_MOST_COUNT: Final = 100_000


@dataclass(frozen=True, slots=True)
class Checks:
    """Checks under the stones now in use, oldest first: counts so far, and sizes over the places
    that all of them read: the smallest, the largest and the mean."""

    counts: Sequence[int]
    smallest: Sequence[float]
    largest: Sequence[float]
    mean: Sequence[float]

    def latest(self) -> Checks:
        """Return the checks that a line is fitted to."""
        last = slice(-MOST_CHECKS, None)
        return Checks(self.counts[last], self.smallest[last], self.largest[last], self.mean[last])


@dataclass(frozen=True, slots=True)
class Noise:
    """Standard deviation of a check's extreme size and of its mean size, in ticks."""

    extreme: float
    mean: float


@dataclass(frozen=True, slots=True)
class Step:
    """The next step: `count` 0 where not even one stroke keeps to the risk. `whole` tells that it
    was not cut to a share of what is left."""

    count: int
    upper: float
    whole: bool


def pooled(line: Line, known: float) -> tuple[float, int]:
    """Return the scatter about a line, pooled with what is known beforehand, and its degrees."""
    degrees = GAUGE_DEGREES + line.degrees
    own = line.degrees * (line.scatter or 0.0) ** 2
    return sqrt((GAUGE_DEGREES * known**2 + own) / degrees), degrees


def next_step(checks: Checks, low: float, high: float, noise: Noise, risk: float) -> Step | None:
    """Return how many strokes to take before the next check; None while no rate is known.

    `low`, `high` are the permitted local sizes. The largest size after k more strokes is
    foretold by its own line, taken from the size as read where that lies higher, at the
    steepest of the three slopes (a worn bore is cut first where it is smallest, so its largest
    place speeds up). Its upper limit at one-sided `risk` stays at or below `high`. No more
    strokes are taken than the lowest size asks for; half as many before three checks, and
    where that is further than the line is long.

    Neither may the largest size as read pass `high` at the faster pace of the last two steps, or,
    where there is one step only, at the fastest that is common: strokes that were counted wrong
    make stones look slow.
    """
    checks = checks.latest()
    if len(set(checks.counts)) < 2:
        return None
    smallest, largest, mean = (
        fit_line(checks.counts, sizes) for sizes in (checks.smallest, checks.largest, checks.mean)
    )
    if mean.slope <= 0:
        return None
    scatter, degrees = pooled(largest, noise.extreme)
    steepest = max(smallest.slope, largest.slope, mean.slope)
    now = checks.counts[-1]
    base = max(largest.at(now), checks.largest[-1])
    factor = t_quantile(1 - risk, degrees)

    def upper(count: int) -> float:
        spread = factor * scatter * largest.foretelling_factor(now + count)
        return base + steepest * count + spread

    wanted = max(1, ceil(min((low - checks.smallest[-1]) / mean.slope, _MOST_COUNT)))
    whole = len(checks.counts) >= _FEWEST_CHECKS and wanted <= now - checks.counts[0]
    if not whole:
        wanted = max(1, floor(wanted * _SHARE))
    sure = _fastest(checks, noise.mean)
    count = _most(wanted, lambda k: upper(k) <= high and checks.largest[-1] + sure * k <= high)
    return Step(count, upper(count), whole)


def _fastest(checks: Checks, noise: float) -> float:
    """Return the faster pace of the last steps, each with its standard uncertainty more; the
    fastest that is common where there is one step only."""
    pairs = zip(pairwise(checks.counts), pairwise(checks.mean), strict=True)
    steps = [(now - then, after - before) for (then, now), (before, after) in pairs if now > then]
    if len(steps) < _STEPS:
        return FASTEST
    return max((taken + sqrt(2) * noise) / count for count, taken in steps[-_STEPS:])


def _most(wanted: int, holds: Callable[[int], bool]) -> int:
    """Return the largest count, at most `wanted`, that holds; 0 where none does."""
    if holds(wanted):
        return wanted
    low, high = 0, wanted
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low
