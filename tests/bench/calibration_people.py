"""How well a gauge study of few people guards: `python -m tests.bench.calibration_people`.

Drawn studies of five bores, each read three times by every person; people differ by as much as
one person's readings scatter. From each the tool's own analysis of variance gives the standard
uncertainty of a reading by anyone, and 1.645 times that is the guard of 95 %. Its true coverage
is the share of readings by anyone that lie within it. The table stands in docs/gauge_study.md.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt
from typing import Final, NamedTuple

import numpy as np
from scipy.stats import norm

from fitsolver.metrology.gauge_study import study
from fitsolver.records.gauge import GaugeReading

STUDIES: Final = 2_000
PEOPLE: Final = (2, 3, 5, 10)
SEED: Final = 20_261_127
BORES: Final = 5
TIMES: Final = 3
#: Standard deviation of one person's readings, and between people (ticks).
SCATTER: Final = 200
BETWEEN: Final = 200


class Coverage(NamedTuple):
    """Of studies by so many people: mean true coverage of the guard, and share below 90 %."""

    people: int
    mean: float
    poor: float


def coverage(people: int, studies: int = STUDIES) -> Coverage:
    """Return how well the guards of drawn studies cover."""
    draw = np.random.default_rng([SEED, people])
    guards = 1.645 * np.array([_combined(draw, people) for _ in range(studies)])
    covered = norm.cdf(guards / sqrt(SCATTER**2 + BETWEEN**2))
    return Coverage(people, float(covered.mean()), float((covered < 0.9).mean()))


def _combined(draw: np.random.Generator, people: int) -> float:
    bores = 6_000_000 + 2_000 * draw.standard_normal(BORES)
    off = BETWEEN * draw.standard_normal(people)
    readings = [
        GaugeReading(
            bore=str(bore),
            person=str(who),
            reading=round(size + off[who] + SCATTER * draw.standard_normal()),
        )
        for bore, size in enumerate(bores)
        for who in range(people)
        for _ in range(TIMES)
    ]
    return study(readings).combined


def report(studies: int = STUDIES) -> Iterator[str]:
    """Yield the table, a row for a number of people."""
    yield "| people | covered on average | studies below 90 % |"
    yield "|---:|---:|---:|"
    for people in PEOPLE:
        row = coverage(people, studies)
        yield f"| {row.people} | {100 * row.mean:.1f} % | {100 * row.poor:.0f} % |"


if __name__ == "__main__":
    print(*report(), sep="\n")
