"""The pace of the stones: the paces of the passes, each with a random effect.

A pass of n strokes takes

    d = r n (1 + e)          Var e = tau**2

on the mean size, and its two checks err by the gauge: the pace d / n has the relative variance
tau**2 + g with g = (u_m**2 (1 / m' + 1 / m'') ) / (r n)**2, where u_m is the standard deviation of
the mean of one check and m', m'' are the times that its two ends were read. A random effect of the
pass beside an error of reading (NIST/SEMATECH e-Handbook of Statistical Methods, 3.2.3 and 7.4.4).

`tau` has a prior worth `PRIOR_DEGREES` passes, pooled with the scatter in the log.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Final

from fitsolver.metrology.line import fit_line
from fitsolver.metrology.student import t_quantile

#: Scatter of the pace from pass to pass before the log tells, a share of it (10 to 30 % are
#: common; common practice, no source), and the degrees of freedom it counts with (own choice).
PRIOR_SCATTER: Final = 0.30
PRIOR_DEGREES: Final = 4
#: Stones dull and pressure changes: weight of a pass relative to the one after it (own choice).
FADING: Final = 0.7
#: A jump of the pace: chance alone reaches it one time in forty, and it has at least this share
#: (own choices).
_JUMP: Final = 0.975
_JUMP_SHARE: Final = 1.3
#: Fewest passes that show a fall of the pace, and the share it must fall to (own choices).
_FEWEST_DULLED: Final = 4
_DULLED_TO: Final = 0.75
_ROUNDS: Final = 3
#: Passes that a pace is taken from (own choice).
MOST_PASSES: Final = 5


@dataclass(frozen=True, slots=True)
class Pass:
    """A pass between two checks: strokes, growth of the mean size (`took`), growth of the largest
    (`grew`), and the reading variance of `took` (ticks squared)."""

    count: int
    took: float
    grew: float
    error: float


@dataclass(frozen=True, slots=True)
class Pace:
    """The pace of the stones now: `rate` (ticks per stroke), its relative standard uncertainty
    `unsure`, the relative scatter of a pass, their `degrees` of freedom, the weight of each pass,
    and the `fastest` pass less the gauge's possible error."""

    rate: float
    unsure: float
    scatter: float
    degrees: int
    weights: tuple[float, ...]
    fastest: float

    @property
    def of_next(self) -> float:
        """Return the relative standard deviation of the next pass's removal."""
        return sqrt(self.scatter**2 + self.unsure**2)


def pace_of(passes: Sequence[Pass]) -> Pace | None:
    """Return the pace of passes, oldest first; None where they show no removal."""
    strokes = sum(item.count for item in passes)
    rate = sum(item.took for item in passes) / strokes if strokes else 0.0
    variance, degrees = PRIOR_SCATTER**2, PRIOR_DEGREES
    if rate <= 0:
        return None
    for _ in range(_ROUNDS):
        read = [item.error / (rate * item.count) ** 2 for item in passes]
        fade = [FADING**age for age in reversed(range(len(passes)))]
        weights = [f / (variance + g) for f, g in zip(fade, read, strict=True)]
        paces = [item.took / item.count for item in passes]
        rate = sum(w * p for w, p in zip(weights, paces, strict=True)) / sum(weights)
        if rate <= 0:
            return None
        own = [variance / (variance + g) for g in read]
        off = sum(o * (p / rate - 1) ** 2 for o, p in zip(own, paces, strict=True))
        told = max(0.0, sum(own) - 1)
        variance = (PRIOR_DEGREES * PRIOR_SCATTER**2 + off) / (PRIOR_DEGREES + told)
        degrees = PRIOR_DEGREES + int(told)
    total = sum(weights)
    unsure = sqrt(sum(w**2 * (variance + g) for w, g in zip(weights, read, strict=True))) / total
    fastest = max(rate + o * (p - rate) for o, p in zip(own, paces, strict=True))
    shares = tuple(w / total for w in weights)
    return Pace(rate, unsure, sqrt(variance), degrees, shares, fastest)


def jumped(passes: Sequence[Pass]) -> float:
    """Return the pace of the last pass where it jumped above those before it, else 0."""
    before = pace_of(passes[:-1][-MOST_PASSES:])
    if before is None:
        return 0.0
    last = passes[-1]
    pace = last.took / last.count
    chance = sqrt(before.of_next**2 + last.error / (before.rate * last.count) ** 2)
    most = 1 + t_quantile(_JUMP, before.degrees) * chance
    return pace if pace / before.rate > max(most, _JUMP_SHARE) else 0.0


def dulled(passes: Sequence[Pass]) -> tuple[float, float] | None:
    """Return the first and the present pace of the stones, where the fall is significant.

    The fit is a straight line through the paces against the strokes so far. Its slope must be below
    0 by Student's t, and at least a quarter of the pace must be lost.
    """
    done, middles = 0, []
    for item in passes:
        middles.append(done + item.count / 2)
        done += item.count
    if len(passes) < _FEWEST_DULLED:
        return None
    line = fit_line(middles, [item.took / item.count for item in passes])
    began, now = line.at(middles[0]), line.at(middles[-1])
    unsure = (line.scatter or 0.0) * line.slope_factor()
    sure = line.slope < -t_quantile(_JUMP, line.degrees) * unsure
    return (began, now) if sure and 0 < now <= _DULLED_TO * began else None
