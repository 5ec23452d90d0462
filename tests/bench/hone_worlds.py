"""Does the advice at the hone keep to its stated risk, whatever the hone is like?

Bores of `hone_truth` are honed as advised, as the simple rule 'half of what is left' has it, and as
a wrong model has it that forgets the rate when a bore is read again. Every log is held against the
bounds of `fitsolver.at_hone.bounds`, and a place that is doubted is read once more.

Run it with `python -m tests.bench.hone_worlds [BORES]`.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from math import floor
from statistics import median
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from fitsolver.at_hone.advice import FASTEST, Checks, Noise, next_step
from fitsolver.at_hone.bounds import (
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
from fitsolver.at_hone.first import first_strokes
from fitsolver.at_hone.noise import SIGMAS
from fitsolver.at_hone.risks import limit_of_pass

from .hone_truth import BEYOND, GAUGE, KELVIN, PLACES, WORLDS, Floats, Truth, World

Policy = Literal["advised", "half of what is left", "rate forgotten"]
POLICIES: Final[tuple[Policy, ...]] = ("advised", "half of what is left", "rate forgotten")
RISK, MOST_CHECKS, FEW = 0.05, 40, 10


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

    def take(self, strokes: int, read: Floats, again: Floats, noise: Noise) -> None:
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
            middle=apart * self.noise.mean * 1.25,
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
        return took < strokes * self.known[1] / DULLED - SIGMAS * 2**0.5 * self.noise.mean * 1.25

    def repeat(self, read: Floats) -> None:
        """Read the bore once more, without strokes."""
        times = self.times[-1]
        self.sizes[-1] = (self.sizes[-1] * times + read) / (times + 1)
        self.times[-1] += 1
        self.readings += 1

    def begin(self) -> None:
        for place, size in zip(PLACES, self.sizes[0], strict=True):
            self.base[place] = Base(round(size), 0, 0.0, 0)

    def first(self, pace: float | None = None) -> int:
        sizes = round(self.smallest), round(self.largest), round(self.low), round(self.high)
        return first_strokes(*sizes, self.noise.extreme, RISK, None).count


@dataclass
class Outcome:
    """What came of the bores of one world under one policy; risks are sums over bores or passes."""

    bores: int = 0
    passed: int = 0
    stopped: int = 0
    checks: int = 0
    passes: int = 0
    told_passes: int = 0
    passed_told: int = 0
    stated: float = 0.0
    stated_bores: float = 0.0
    short: float = 0.0
    by_window: dict[float, list[int]] = field(default_factory=dict)


def advised(book: Book, policy: Policy) -> tuple[int | None, float]:
    """Return the strokes of the next pass and its stated risk; no risk while no rate is known."""
    checks = book.checks()
    if policy == "half of what is left":
        ends = [(n, m) for n, m in zip(checks.counts, checks.mean, strict=True)]
        if len(ends) < 2:
            return None, 0.0
        (x0, y0), (x1, y1) = ends[-2:]
        rate = max(1.0, (y1 - ends[0][1]) / (x1 - ends[0][0]))
        return max(1, min(floor((book.low - book.smallest) / 2 / rate), 1000)), 0.0
    if policy == "rate forgotten" and book.times[-1] >= 6:
        return FEW, 0.0
    limit = limit_of_pass(RISK, book.spent)
    step = next_step(checks, book.low, book.high, book.noise, limit)
    if step is None:
        return None, 0.0
    return (step.count or -step.again), step.risk


def hone(world: World, bores: int, seed: int, policy: Policy) -> Outcome:
    """Hone bores of a world to their end."""
    dice = np.random.default_rng(seed)
    truth, found = Truth(world, bores, dice), Outcome(bores)
    common = KELVIN / 3**0.5 if world.warm else 0.0
    noise = Noise(np.hypot(GAUGE, common), np.hypot(GAUGE / len(PLACES) ** 0.5, common), common)
    books = [Book(truth.low[i], truth.high[i], noise) for i in range(bores)]
    start = truth.read()
    for book, row in zip(books, start, strict=True):
        book.sizes.append(row)
        book.begin()
    active = np.ones(bores, dtype=bool)
    over = np.zeros(bores, dtype=bool)
    for _ in range(MOST_CHECKS):
        strokes = np.zeros(bores, dtype=np.int64)
        risks = np.zeros(bores)
        told = np.zeros(bores, dtype=bool)
        extra = [truth.read() for _ in range(3)]
        for i in np.flatnonzero(active):
            count, risks[i] = advised(books[i], policy)
            if truth.passes[i] + 1 == truth.dress[i] and world.said:
                count = None
            told[i] = count is not None
            if count is None:
                count = books[i].first()
            if count <= 0:
                books[i].unsettled += 1
                if count == 0 or books[i].unsettled > 2:
                    active[i] = False
                for more in range(-count):
                    books[i].repeat(extra[more % 3][i])
                told[i] = False
                count = 0
                active[i] &= not _ended(books[i])
            strokes[i] = count
        truth.hone(strokes)
        written = truth.written(strokes)
        read, again = truth.read(), truth.read()
        extra = [truth.read() for _ in range(5)]
        now_over = truth.sizes.max(axis=1) > truth.high
        anew = truth.named_anew()
        for i in np.flatnonzero(active & (strokes > 0)):
            book = books[i]
            count = int(written[i])
            if book.too_few(count, read[i]):
                count = int(strokes[i])
            if anew[i]:
                book.begun, book.known = len(book.counts) - 1, None
            book.take(count, read[i], again[i], noise)
            book.unsettled = 0
            found.passes += 1
            if told[i]:
                book.spent += min(risks[i], limit_of_pass(RISK, book.spent))
                found.told_passes += 1
                found.stated += risks[i]
                found.passed_told += bool(now_over[i] and not over[i])
            if (book.sizes[-1] > book.high).sum() == 1:
                book.repeat(extra[0][i])
            if world.again and book.low - book.smallest < 5_000:
                for more in range(world.again):
                    book.repeat(extra[more][i])
            if _ended(book):
                active[i] = False
                found.stopped += 1
        over |= now_over
        if not active.any():
            break
    found.passed = int(over.sum())
    found.checks = sum(book.readings - 1 for book in books)
    found.stated_bores = sum(book.spent for book in books)
    for window in np.unique(np.round(truth.high - truth.low)):
        mine = np.round(truth.high - truth.low) == window
        found.by_window[float(window)] = [
            int(mine.sum()),
            int(over[mine].sum()),
            sum(b.readings - 1 for b, m in zip(books, mine, strict=True) if m),
            sum(_ended(b) for b, m in zip(books, mine, strict=True) if m),
        ]
    return found


def _ended(book: Book) -> bool:
    return book.largest > book.high or book.smallest >= book.low


def main(bores: int = 2_400) -> None:
    import time

    for world in (*WORLDS, *BEYOND):
        for policy in POLICIES:
            if policy != "advised":
                continue
            t = time.time()
            f = hone(world, bores, 7, policy)
            w = " ".join(
                f"[{k:.0f}: {100 * v[1] / v[0]:.2f}% n{v[2] / v[0]:.1f} e{100 * v[3] / v[0]:.0f}%]"
                for k, v in f.by_window.items()
            )
            print(
                f"{world.name:27} {policy[:8]:9} bore {f.passed / f.bores:6.2%} (st {f.stated_bores / f.bores:6.2%}) pass {f.passed_told / max(1, f.told_passes):6.2%} (st {f.stated / max(1, f.told_passes):6.2%}) checks {f.checks / f.bores:.2f} stop {f.stopped / f.bores:.1%} {w} {time.time() - t:.1f}s",
                flush=True,
            )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
