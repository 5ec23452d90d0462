"""Draws by their plain names, and the scale that a generated job is drawn to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

from fitsolver.base.lengths import Unit
from fitsolver.records.base import Range

T = TypeVar("T")


class Dice:
    """Throws taken from a string of bytes: evenly spread, and simple where the bytes are 0.

    One string for a whole case, rather than a draw for every throw: hypothesis would repeat
    draws of one kind within a case, and many rules would then never meet each other.
    Shrinking the bytes still leads to the first and smallest outcomes.
    """

    SIZE = 2_000

    def __init__(self, data: bytes) -> None:
        self._data, self._at = data, 0

    def between(self, least: int, most: int) -> int:
        taken = self._data[self._at : self._at + 2]
        self._at += 2
        return least + int.from_bytes(taken, "big") % (most - least + 1)

    def one_of(self, *values: T) -> T:
        return values[self.between(0, len(values) - 1)]

    def pick(self, values: Sequence[T]) -> T:
        return self.one_of(*values)

    def chance(self, percent: int) -> bool:
        """True in `percent` of the throws, False when simplified."""
        return self.between(0, 99) >= 100 - percent

    def some(self, values: Sequence[T], percent: int) -> list[T]:
        return [value for value in values if self.chance(percent)]

    def shuffled(self, values: Sequence[T]) -> tuple[T, ...]:
        left = list(values)
        return tuple(left.pop(self.between(0, len(left) - 1)) for _ in values)


@dataclass(frozen=True)
class Scale:
    """Lengths are drawn as small multiples of `step` ticks around a bore of about 62 mm.

    So the intervals in which a finish size may lie are short enough to be enumerated.
    """

    step: int
    unit: Unit

    @property
    def bore(self) -> int:
        return 6_200_000 // self.step * self.step

    def length(self, steps: int) -> int:
        return steps * self.step

    def range(self, low: int, width: int) -> Range:
        return Range(low=self.length(low), high=self.length(low + width))


@dataclass(frozen=True)
class Theme:
    """How many of what is drawn, and how often (in percent) a thing is demanded."""

    name: str
    cylinders: tuple[int, int] = (1, 1)
    pistons: tuple[int, int] = (2, 4)
    grooves: int = 1
    rings: tuple[int, int] = (2, 3)
    places: int = 0
    kits: int = 0
    steps: tuple[int, ...] = (1, 3, 10, 127, 254)
    modes: tuple[str, ...] = ("piston in hand", "set size", "already finished")
    supply: int = 20
    in_hand: int = 20
    sets: int = 0
    limits: int = 20
    pins: int = 10
    own: int = 20
    shape: int = 20
    filing_first: int = 20
    timing: int = 0


THEMES = {
    theme.name: theme
    for theme in (
        Theme("rings", grooves=2, rings=(2, 5), steps=(1, 3, 10, 254), filing_first=60),
        Theme("supply", (1, 2), rings=(2, 4), kits=2, places=1, supply=70, in_hand=50),
        Theme("sets", (2, 3), pistons=(4, 6), rings=(2, 4), supply=20, in_hand=40, sets=60),
        Theme(
            "finish",
            (1, 2),
            pistons=(2, 6),
            rings=(2, 4),
            own=30,
            limits=35,
            shape=60,
            filing_first=40,
        ),
        Theme("gaskets", (1, 2), pistons=(3, 4), places=2, kits=1, supply=40, in_hand=30),
        Theme(
            "timing",
            (1, 2),
            pistons=(3, 4),
            places=2,
            steps=(254, 2540, 2540),
            supply=0,
            limits=5,
            pins=3,
            own=30,
            shape=5,
            filing_first=10,
            timing=75,
        ),
        Theme("everything", (1, 2), grooves=2, places=2, kits=2, supply=40, sets=40, own=30),
    )
}
