"""Minimum-cost matching on a line with bounded distances, in linear time after sorting.

All of the `all_of` get one of the `any_of` each. A walk along the line keeps the excess F: how many
of `all_of` still wait, less how many of `any_of` were taken early. With V(F) the least sum so far,
a step of length g adds g |F|; one of `all_of` moves V by one; one of `any_of` makes it min(V(F),
V(F + 1)), taken or not. All of these keep V convex, so it is held by its slopes, in order: those
left of F = 0 (none above 0), and those right of it that are below 0. The other slopes on the right
are only counted: their order never matters again. docs/pair.md has the proof.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import deque
from collections.abc import Callable, Sequence
from typing import Final

#: The slope of an infeasible state: below that of any sum.
_NEVER: Final = -(1 << 62)
#: Steps between two looks at the clock.
_STEPS: Final = 1 << 15


class OutOfTimeError(Exception):
    """The time given has ended before the least sum was known."""


def least_sum(
    all_of: Sequence[int],
    any_of: Sequence[int],
    reach: int,
    expired: Callable[[], bool] = lambda: False,
) -> list[bool]:
    """Return which of `any_of` are taken; both are sorted, and taken in order they are paired.

    A pairing of all of `all_of` must exist. Ties go to the first places. Raises OutOfTimeError when
    `expired` says so, ValueError where there is no pairing.
    """
    below = _walk(all_of, any_of, reach, expired)
    taken = _back(all_of, any_of, below)
    _first_of_equals(any_of, taken)
    return taken


def _walk(
    all_of: Sequence[int], any_of: Sequence[int], reach: int, expired: Callable[[], bool]
) -> list[int]:
    """Return for each of `any_of` how many slopes right of 0 were below 0 when it was met."""
    left: deque[int] = deque()  # slope + place
    right: deque[int] = deque()  # slope - place
    flat = 0  # slopes right of 0 that are 0 or more
    below: list[int] = []
    at = oldest = ahead = 0
    for step, place in enumerate(any_of):
        if not step % _STEPS and expired():
            raise OutOfTimeError
        while at < len(all_of) and all_of[at] <= place:
            flat += _one_waits(left, right, all_of[at])
            at += 1
        while right and right[-1] + place >= 0:
            right.pop()
            flat += 1
        # Those that wait are the last F of `all_of`: the oldest of them must be within reach.
        oldest = bisect_left(all_of, place - reach, oldest)
        if len(right) + flat > at - oldest:
            flat = _at_most(right, flat, at - oldest)
        below.append(len(right))
        flat += _one_may_be_taken(left, right, place)
        # Taken early, it serves the next of `all_of` in turn: that one must be within reach.
        ahead = bisect_right(all_of, place + reach, max(ahead, at))
        while len(left) > ahead - at:
            left.popleft()
    if len(left) < len(all_of) - at or (right and right[0] == _NEVER):
        raise ValueError("not all can be paired")
    return below


def _one_waits(left: deque[int], right: deque[int], place: int) -> int:
    """Move V by one: the last slope left of 0 comes to the right. Return 1 where it is 0."""
    if not left:
        right.appendleft(_NEVER)
        return 0
    slope = left.pop() - place
    if slope == 0:
        return 1
    right.appendleft(slope - place)
    return 0


def _one_may_be_taken(left: deque[int], right: deque[int], place: int) -> int:
    """Put a slope of 0 among the others; those below it move one to the left.

    Return the increase in the number of slopes at or above 0 right of F = 0.
    """
    if not right:
        left.append(place)
        return 0
    slope = right.popleft()
    if slope != _NEVER:
        left.append(slope + 2 * place)
    return 1


def _at_most(right: deque[int], flat: int, most: int) -> int:
    """Remove the highest slopes right of 0 until `most` are left; return how many are flat."""
    over = len(right) + flat - most
    gone = min(over, flat)
    for _ in range(over - gone):
        if right.pop() == _NEVER:
            raise ValueError("not all can be paired")
    return flat - gone


def _back(all_of: Sequence[int], any_of: Sequence[int], below: Sequence[int]) -> list[bool]:
    """Return the pieces taken on the path that ends with none waiting and none early."""
    taken = [False] * len(any_of)
    excess, at = 0, len(all_of)
    for place in range(len(any_of) - 1, -1, -1):
        while at > 0 and all_of[at - 1] > any_of[place]:
            at -= 1
            excess -= 1
        if excess < below[place]:
            taken[place] = True
            excess += 1
    if excess != at:
        raise ValueError("not all can be paired")
    return taken


def _first_of_equals(places: Sequence[int], taken: list[bool]) -> None:
    """Break ties between equal places in favour of the first."""
    start = 0
    while start < len(places):
        end = start + 1
        while end < len(places) and places[end] == places[start]:
            end += 1
        if end - start > 1:
            count = sum(taken[start:end])
            taken[start:end] = [True] * count + [False] * (end - start - count)
        start = end
