"""Screening against `pick` on drawn rows: `python -m tests.bench.screened [ROWS] [WORKERS]`.

The jobs and bores of `tests/oracle/test_screen_equals_pick.py`, with other seeds: some near
what physics forbids, and with rings made for larger bores than those they go into.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from typing import Final

from tests.oracle.test_screen_equals_pick import BELOW, FLOORED, disagree

#: Rows of a drawn job.
EACH: Final = 50


def seeds(count: int) -> Iterator[int]:
    """Yield so many seeds, nearly all others than those of the tests."""
    for number in range(count):
        yield (FLOORED + 100 + number, BELOW + 1_000 + number)[number % 2]


def tried(seed: int) -> tuple[bool, int, list[str]]:
    """Return whether the rings are larger, how many rows fit, and the rows that differ."""
    wrong, found, screen = disagree(seed, EACH)
    fits = sum(bool(screen.choices[number].piston) for number in found.choice)
    return seed >= BELOW, fits, wrong


def main() -> None:
    """Try them, and print the table."""
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else 50_000
    workers = int(sys.argv[2]) if len(sys.argv) > 2 else 2
    counts = {below: [0, 0, 0] for below in (False, True)}
    with ProcessPoolExecutor(workers) as pool:
        for below, fits, wrong in pool.map(tried, seeds(rows // EACH), chunksize=5):
            for place, number in enumerate((EACH, fits, len(wrong))):
                counts[below][place] += number
            for line in wrong:
                print(line, file=sys.stderr, flush=True)
            done = sum(count for count, _, _ in counts.values())
            if done % 5_000 == 0:
                print(f"{done:,} of {rows:,}", file=sys.stderr, flush=True)
    print("| rows screened against `pick` | rows | fit | differ |\n|---|---|---|---|")
    for below, (count, fits, wrong) in counts.items():
        name = "rings made for larger bores" if below else "near what physics forbids"
        print(f"| {name} | {count:,} | {fits:,} | {wrong} |")


if __name__ == "__main__":
    main()
