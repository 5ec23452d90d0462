"""Does the advice at the hone keep to its stated risk, whatever the hone is like?

Bores of `hone_truth` are honed by the rules of `hone_rules`: as advised; by half of what is left;
and, in the world where bores are read six times, as a wrong model advises that forgets the rate.

Run it with `python -m tests.bench.hone_worlds [BORES OF EACH WORLD]`.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

import numpy as np

from fitsolver.honing.advice import Noise
from fitsolver.honing.risks import limit_of_pass

from .hone_rules import RISK, Book, Rule, advised
from .hone_truth import BEYOND, GAUGE, KELVIN, PLACES, WORLDS, Floats, Truth, World

MOST_CHECKS, READ_AGAIN, SETTLED, CLOSE, SPARE = 40, 2, 1_400.0, 5_000.0, 5
SEED = 7


@dataclass(frozen=True)
class Outcome:
    """What came of the bores of a world. Of all: the share that passed the highest size, and what
    was stated; of the passes with a stated risk the same; and of the bores whose window the gauge
    can settle, 0.014 mm and more: checks, and the share that came to an end; and that share of the
    others, 0.008 mm."""

    bores: int
    passed: float
    stated: float
    pass_passed: float
    pass_stated: float
    checks: float
    ended: float
    narrow_ended: float


class Run:
    """Bores of one world, honed side by side by one rule."""

    def __init__(self, world: World, bores: int, seed: int, rule: Rule) -> None:
        dice = np.random.default_rng(seed)
        self.world, self.rule = world, rule
        self.truth = Truth(world, bores, dice)
        common = KELVIN / 3**0.5 if world.warm else 0.0
        mean = GAUGE / len(PLACES) ** 0.5
        noise = Noise(np.hypot(GAUGE, common), np.hypot(mean, common), common, common)
        ends = zip(self.truth.low, self.truth.high, self.truth.read(), strict=True)
        self.books = [Book(low, high, noise, sizes=[row]) for low, high, row in ends]
        for book in self.books:
            book.begin()
        self.active = np.ones(bores, dtype=bool)
        self.over = np.zeros(bores, dtype=bool)
        self.stated = np.zeros(bores)
        self.told = self.told_over = 0

    def check(self) -> None:
        """Take one more pass, and one more check, in every bore that is not at its end."""
        truth, bores = self.truth, len(self.books)
        strokes, risks = np.zeros(bores, dtype=np.int64), np.full(bores, -1.0)
        spare = [truth.read() for _ in range(SPARE)]
        for i in np.flatnonzero(self.active):
            strokes[i], risks[i] = self._next(i, spare)
        truth.hone(strokes)
        written, read, again = truth.written(strokes), truth.read(), truth.read()
        spare = [truth.read() for _ in range(SPARE)]
        now_over, anew = truth.sizes.max(axis=1) > truth.high, truth.named_anew()
        for i in np.flatnonzero(strokes):
            book = self.books[i]
            if risks[i] >= 0:
                book.spent += min(risks[i], limit_of_pass(RISK, book.spent))
                self.stated[i] += risks[i]
                self.told += 1
                self.told_over += int(now_over[i] and not self.over[i])
            if anew[i]:
                book.begun, book.known = len(book.counts) - 1, None
            wrong = book.too_few(int(written[i]), read[i])
            book.take(int(strokes[i] if wrong else written[i]), read[i], again[i])
            self._read_again(book, [row[i] for row in spare])
            self.active[i] = not book.ended
        self.over |= now_over

    def _next(self, i: int, spare: list[Floats]) -> tuple[int, float]:
        """Return the strokes of a bore's next pass and the risk stated for it, -1 where none was;
        no strokes where it is read again or given up."""
        book, truth = self.books[i], self.truth
        count, risk = advised(book, self.rule)
        if truth.passes[i] + 1 == truth.dress[i] and self.world.said:
            count = None
        if count is None:
            count, risk = book.first(), -1.0
        if count > 0:
            book.unsettled = 0
            return count, risk
        book.unsettled += 1
        for row in spare[:-count]:
            book.repeat(row[i])
        self.active[i] = bool(count) and book.unsettled <= READ_AGAIN and not book.ended
        return 0, -1.0

    def _read_again(self, book: Book, rows: list[Floats]) -> None:
        """Read again where one place alone is too large, and where it is a habit."""
        if (book.sizes[-1] > book.high).sum() == 1:
            book.repeat(rows[0])
        if book.low - book.smallest < CLOSE:
            for row in rows[: self.world.again]:
                book.repeat(row)

    def outcome(self) -> Outcome:
        wide = self.truth.high - self.truth.low > SETTLED - 1
        checks = np.array([book.readings - 1 for book in self.books])
        ended = np.array([book.ended for book in self.books])
        return Outcome(
            len(self.books),
            float(self.over.mean()),
            float(self.stated.mean()),
            self.told_over / max(1, self.told),
            float(self.stated.sum()) / max(1, self.told),
            float(checks[wide].mean()),
            float(ended[wide].mean()),
            float(ended[~wide].mean()),
        )


def hone(world: World, bores: int, rule: Rule, seed: int = SEED) -> Outcome:
    """Hone bores of a world to their end, as a rule has it."""
    run = Run(world, bores, seed, rule)
    for _ in range(MOST_CHECKS):
        if not run.active.any():
            break
        run.check()
    return run.outcome()


def table(bores: int) -> Iterator[tuple[World, dict[Rule, Outcome]]]:
    """Yield what came of every world, by every rule that is tried in it."""
    with ProcessPoolExecutor(2) as pool:
        asked = {
            (world, rule): pool.submit(hone, world, bores, rule)
            for world in (*WORLDS, *BEYOND)
            for rule in rules_of(world)
        }
        for world in (*WORLDS, *BEYOND):
            yield world, {rule: asked[world, rule].result() for rule in rules_of(world)}


def rules_of(world: World) -> tuple[Rule, ...]:
    forgotten: tuple[Rule, ...] = ("rate forgotten",) if world.again else ()
    return ("advised", "half of what is left", *forgotten)


def main(bores: int = 2_400) -> None:
    """Print the table: of each world what was stated and what came of it, by every rule."""
    print(f"{bores} bores of each world; stated at most {RISK:.1%} a bore, {RISK / 2:.1%} a pass")
    print(f"{'':48} {'per bore':>16} {'per pass':>16} {'0.014 mm and more':>18}{'0.008 mm':>10}")
    heads = ("passed", "stated", "passed", "stated", "checks", "ended", "ended")
    print(f"{'world':27}{'rule':21}", *(f"{head:>8}" for head in heads))
    for world, found in table(bores):
        for rule, out in found.items():
            shares = (out.passed, out.stated, out.pass_passed, out.pass_stated)
            told = shares if rule == "advised" else shares[:1]
            cells = [f"{share:8.2%}" for share in told] + [" " * 8] * (4 - len(told))
            print(
                f"{world.name:27}{rule:21}",
                *cells,
                f"{out.checks:8.1f} {out.ended:8.1%} {out.narrow_ended:8.1%}",
            )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
