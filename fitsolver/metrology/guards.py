"""The guard of a decision on each side of a window (JCGM 106, ISO 14253-1)."""

from __future__ import annotations

from bisect import bisect_left
from math import ceil, inf
from typing import TYPE_CHECKING, Final, NamedTuple

from fitsolver.metrology.conformity import guard_factor
from fitsolver.records.measuring import Measuring

if TYPE_CHECKING:
    from fitsolver.metrology.spread import Spread

#: 95 % at the edge of a one-sided window: JCGM 106:2012, 8.3.2 and table 1.
DEFAULT_FACTOR: Final = 1.645
_THOUSANDTHS, _MILLIONTHS = 1_000, 1_000_000
Edges = tuple[int | None, int | None]


class Asked(NamedTuple):
    """The guard that a job asks for; `share` scales the uncertainty."""

    measuring: Measuring
    share: float = 1.0

    @property
    def wanted(self) -> float | None:
        """The probability of conformity wanted; None: a factor is."""
        probability = self.measuring.probability
        return None if probability is None else probability / _MILLIONTHS

    @property
    def factor(self) -> float:
        own = self.measuring.factor
        return DEFAULT_FACTOR if own is None else own / _THOUSANDTHS


def guard_of(asked: Asked, window: Edges, spread: Spread, apart: int) -> int:
    """Return the guard (ticks, rounded up) of a window's stated edges.

    For a bore of known form, the guard also covers the expected distance of its ends beyond the
    readings. `apart` is the range of the fit's values over the bore as read.
    """
    if spread.is_difference and window[0] is not None and window[0] <= 0:
        window = None, window[1]
    if spread.weights is not None:
        return _told(asked, window, spread, apart)
    u = spread.deviation(high=True) * asked.share
    if u == 0:
        return 0
    if asked.wanted is None:
        return ceil(asked.factor * u)
    low, high = window
    if low is None or high is None:
        return ceil((guard_factor(asked.wanted) or 0.0) * u)
    two_sided = guard_factor(asked.wanted, (high - low) / u)
    # If no guard reaches the probability, this one leaves no room in the window.
    return (high - low) // 2 + 1 if two_sided is None else ceil(two_sided * u)


def _told(asked: Asked, window: Edges, spread: Spread, apart: int) -> int:
    low, high = window
    sides = [side for side, edge in ((False, low), (True, high)) if edge is not None]
    if asked.wanted is None:
        return max((_by_factor(asked, spread, high=side) for side in sides), default=0)
    if low is None or high is None:
        return max((_one_sided(asked, spread, high=side) for side in sides), default=0)
    return _two_sided(asked, high - low, spread, apart)


def _by_factor(asked: Asked, spread: Spread, *, high: bool) -> int:
    beyond = (spread.beyond(high=high) or 0.0) * (1 if high else -1)
    return max(0, ceil(asked.share * (beyond + asked.factor * spread.deviation(high=high))))


def _one_sided(asked: Asked, spread: Spread, *, high: bool) -> int:
    """Return the least guard with which an end at the guarded edge conforms as wanted."""
    wanted = asked.wanted or 0.0
    most = max(0, 8 * _by_factor(asked, spread, high=high)) + 1

    def conforms(guard: int) -> bool:
        slack = guard / asked.share
        return spread.within(*((-inf, slack) if high else (-slack, inf))) >= wanted

    return bisect_left(range(most), True, key=conforms)


def _two_sided(asked: Asked, width: int, spread: Spread, apart: int) -> int:
    """Return the least guard with which the bore conforms as wanted wherever it is accepted.

    The bore is accepted from `guard` above the lower edge to `guard` below the upper one, within
    the limits of its own spread. If no guard suffices, the one returned leaves no room.
    """
    room = max(0, width - apart)
    if not _accepted(asked, room // 2, room, spread):
        return width // 2 + 1
    guards = range(room // 2)
    return bisect_left(guards, True, key=lambda guard: _accepted(asked, guard, room, spread))


def _accepted(asked: Asked, guard: int, room: int, spread: Spread) -> bool:
    wanted, share = asked.wanted or 0.0, asked.share
    near, far = guard / share, (room - guard) / share
    return min(spread.within(-near, far), spread.within(-far, near)) >= wanted
