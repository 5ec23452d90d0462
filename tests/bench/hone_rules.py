"""The log of one simulated bore, and three rules for its next pass: the advice, and two to compare.

Every check is held against the bounds of `fitsolver.honing.bounds`, as a log is: a place that is
doubted is read once more, strokes that are doubted are put right.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import floor
from statistics import median
from typing import Final, Literal

from fitsolver.honing.advice import Checks, Noise, next_step
from fitsolver.honing.bounds import (
    DULLED,
    LEAST_PACE,
    QUICKER,
    UNKNOWN_PACE,
    Base,
    Limits,
    alone,
    by_itself,
    out_of_line,
)
from fitsolver.honing.first import first_strokes
from fitsolver.honing.noise import SIGMAS
from fitsolver.honing.risks import limit_of_pass

from .hone_truth import GAUGE, PLACES, Floats

Rule = Literal["advised", "half of what is left", "rate forgotten"]
RISK: Final = 0.05
#: What 'a few more' are to a hand that is told no number, and re-readings that push the passes out
#: of the last six checks.
FEW, SIX = 10, 6
_MEDIAN: Final = 1.25


@dataclass
class Book:
    """What the log of one bore says."""

    low: float
    high: float
    noise: Noise
    counts: list[int] = field(default_factory=lambda: [0])
    sizes: list[Floats] = field(default_factory=list)
    times: list[int] = field(default_factory=lambda: [1])
    begun: int = 0
    spent: float = 0.0
    readings: int = 1
    unsettled: int = 0
    base: dict[tuple[int, int], Base] = field(default_factory=dict)
    growth: float = 0.0
    known: tuple[float, float] | None = None

    @property
    def smallest(self) -> float:
        return float(self.sizes[-1].min())

    @property
    def largest(self) -> float:
        return float(self.sizes[-1].max())

    def checks(self) -> Checks:
        rows = self.sizes[self.begun :]
        return Checks(
            self.counts[self.begun :],
            [float(row.min()) for row in rows],
            [float(row.max()) for row in rows],
            [float(row.mean()) for row in rows],
            self.times[self.begun :],
        )

    def take(self, strokes: int, read: Floats, again: Floats) -> None:
        """Add a check after a pass; what is doubted is read once more."""
        sizes = {place: round(size) for place, size in zip(PLACES, read, strict=True)}
        limits = self._limits(sizes, strokes)
        doubted = self._doubted(sizes, limits)
        now = read.copy()
        for place in doubted:
            now[PLACES.index(place)] = again[PLACES.index(place)]
        self.readings += bool(doubted)
        sizes = {place: round(size) for place, size in zip(PLACES, now, strict=True)}
        for place, size in sizes.items():
            self.base[place] = Base(size, len(self.counts), self.growth, 0)
        if not doubted:
            took = sorted(now - self.sizes[-1])
            fastest = max(took[-1] / strokes, self.known[0] if self.known else 0.0)
            self.known = fastest, max(0.0, (median(took) - limits.middle / 2) / strokes)
        self.counts.append(self.counts[-1] + strokes)
        self.sizes.append(now)
        self.times.append(1)
        self.readings += 1

    def _limits(self, sizes: dict[tuple[int, int], int], strokes: int) -> Limits:
        pace = UNKNOWN_PACE if self.known is None else max(LEAST_PACE, QUICKER * self.known[0])
        self.growth += strokes * pace
        apart = SIGMAS * 2**0.5
        removed = median(sizes[place] - self.base[place].size for place in PLACES)
        return Limits(
            one=GAUGE,
            repeat=apart * GAUGE,
            shift=apart * self.noise.extreme,
            middle=apart * self.noise.mean * _MEDIAN,
            growth=self.growth,
            cut=0,
            removed=removed,
            high=round(self.high),
        )

    def _doubted(self, sizes: dict[tuple[int, int], int], limits: Limits) -> set[tuple[int, int]]:
        named = {found.place for found in by_itself(sizes, self.base, limits)}
        for look in (out_of_line, alone):
            rest = {place: size for place, size in sizes.items() if place not in named}
            named |= {found.place for found in look(rest, self.base, limits)}
        return named

    def too_few(self, strokes: int, read: Floats) -> bool:
        """Tell whether strokes took so little that their number is doubted."""
        if self.known is None:
            return False
        took = median(read - self.sizes[-1])
        return took < strokes * self.known[1] / DULLED - SIGMAS * 2**0.5 * self.noise.mean * _MEDIAN

    def repeat(self, read: Floats) -> None:
        """Read the bore once more, without strokes."""
        times = self.times[-1]
        self.sizes[-1] = (self.sizes[-1] * times + read) / (times + 1)
        self.times[-1] += 1
        self.readings += 1

    def begin(self) -> None:
        for place, size in zip(PLACES, self.sizes[0], strict=True):
            self.base[place] = Base(round(size), 0, 0.0, 0)

    @property
    def ended(self) -> bool:
        return self.largest > self.high or self.smallest >= self.low

    def first(self) -> int:
        """Return the strokes with stones of which no check tells; 0 where it asks for others."""
        sizes = round(self.smallest), round(self.largest), round(self.low), round(self.high)
        found = first_strokes(*sizes, self.noise.extreme, limit_of_pass(RISK, self.spent), None)
        return 0 if found.basis == "what is left" else found.count


def half_of_what_is_left(book: Book) -> int | None:
    """Return half of what is left to the lowest size, at the pace of all passes so far."""
    checks = book.checks()
    count = checks.counts[-1] - checks.counts[0]
    if not count:
        return None
    rate = max(1.0, (checks.mean[-1] - checks.mean[0]) / count)
    return max(1, floor((book.low - book.smallest) / 2 / rate))


def advised(book: Book, rule: Rule) -> tuple[int | None, float]:
    """Return the strokes of the next pass and the risk stated for it; no strokes while no rate is
    known, and re-readings as strokes below 0."""
    if rule == "half of what is left":
        return half_of_what_is_left(book), 0.0
    if rule == "rate forgotten" and book.times[-1] >= SIX:
        return FEW, 0.0
    limit = limit_of_pass(RISK, book.spent)
    step = next_step(book.checks(), book.low, book.high, book.noise, limit)
    if step is None:
        return None, 0.0
    return (step.count or -step.again), step.risk
