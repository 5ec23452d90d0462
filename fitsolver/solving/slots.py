"""Slots: expressions with their ranges, minimised lexicographically in one weighted solve."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from fitsolver.solving.terms import Expr

#: Slots are solved together while their combinations stay below this: small enough for the
#: solver's arithmetic, large enough that a usual job needs a few solves only.
_TOGETHER: Final = 10**11


@dataclass(frozen=True, slots=True)
class Slot:
    """A whole-number expression with the range it can take.

    `decides` is False where it only distinguishes sizes or purchases of parts already chosen.
    """

    expr: Expr
    low: int
    high: int
    decides: bool = True


def groups(slots: Iterable[Slot]) -> Iterator[list[Slot]]:
    """Split slots into runs whose combinations stay countable."""
    group: list[Slot] = []
    size = 1
    for slot in slots:
        width = slot.high - slot.low + 1
        if group and size * width > _TOGETHER:
            yield group
            group, size = [], 1
        group.append(slot)
        size *= width
    if group:
        yield group


def weights(group: Sequence[Slot]) -> list[int]:
    """Return lexicographic weights: one unit of a slot outweighs all slots after it."""
    found, weight = [], 1
    for slot in reversed(group):
        found.append(weight)
        weight *= slot.high - slot.low + 1
    return found[::-1]
