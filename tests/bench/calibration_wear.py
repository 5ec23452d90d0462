"""How often the next wear is below what is stated: `python -m tests.bench.calibration_wear`.

Worlds of a bore's wears: how far they vary (lognormal, standard deviation as a share of the
mean) and how much of the first wear each grows. Every wear is measured with two readings of a
gauge of 0.002 mm. The table stands in docs/ladder.md.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from math import ceil, fsum, log, sqrt
from typing import Final, NamedTuple

import numpy as np

from fitsolver.metrology.student import t_quantile
from fitsolver.metrology.wear import estimated
from fitsolver.records.wear import READING_SCATTER

CASES: Final = 20_000
COUNTS: Final = (1, 2, 3, 5, 8)
SEED: Final = 20_261_127
#: Mean of the first wear (ticks): 0.030 mm.
FIRST: Final = 3_000
_GAUGE: Final = sqrt(2) * READING_SCATTER

Most = Callable[[Sequence[int], Sequence[float]], int]


class World(NamedTuple):
    """Wears that vary by a share of themselves and grow by a share of the first."""

    varying: float
    growing: float

    @property
    def assumed(self) -> bool:
        """Whether the model's own assumptions hold: no further apart than a third."""
        return self.varying <= 1 / 3


WORLDS: Final = (
    World(0.1, 0),
    World(0.2, 0),
    World(1 / 3, 0),
    World(0.1, 0.1),
    World(1 / 3, 0.1),
    World(0.1, 0.3),
    World(0.2, 0.3),
    World(0.5, 0),
    World(0.5, 0.3),
)


def stated(wears: Sequence[int], errors: Sequence[float]) -> int:
    """Return the most of the next wear (ticks) as the tool states it."""
    return estimated(wears, errors).most


def by_the_gauge(wears: Sequence[int], errors: Sequence[float]) -> int:
    """Return it by a wrong model: the gauge's scatter, pooled with eight degrees of freedom."""
    n = len(wears)
    mean = fsum(wears) / n
    squares = fsum((wear - mean) ** 2 for wear in wears)
    pooled = sqrt((8 * fsum(error**2 for error in errors) / n + squares) / (7 + n))
    return ceil(mean + t_quantile(0.95, 7 + n) * pooled * sqrt(1 + 1 / n))


def covered(world: World, count: int, cases: int, most: Most = stated) -> float:
    """Return the share of drawn bores whose next wear is at most what is stated."""
    draw = np.random.default_rng([SEED, count, WORLDS.index(world)])
    deviation = sqrt(log(1 + world.varying**2))
    means = FIRST * (1 + world.growing * np.arange(count + 1))
    off = deviation * draw.standard_normal((cases, count + 1)) - deviation**2 / 2
    true = means * np.exp(off)
    read = np.rint(true[:, :count] + _GAUGE * draw.standard_normal((cases, count)))
    errors = [_GAUGE] * count
    bounds = np.array([most([int(wear) for wear in row], errors) for row in read])
    return float((true[:, count] <= bounds).mean())


def report(cases: int = CASES) -> Iterator[str]:
    """Yield the table: a row a world, a column for each number of records, wrong model last."""
    counts = " | ".join(map(str, COUNTS))
    yield f"| wears vary by | grow by | {counts} | of 3, by the gauge alone |"
    yield "|---:|---:|" + "---:|" * (len(COUNTS) + 1)
    for world in WORLDS:
        shares = [covered(world, count, cases) for count in COUNTS]
        shares.append(covered(world, 3, cases, by_the_gauge))
        cells = " | ".join(f"{100 * share:.1f}" for share in shares)
        yield f"| {100 * world.varying:.0f} % | {100 * world.growing:.0f} % | {cells} |"


if __name__ == "__main__":
    print(*report(), sep="\n")
