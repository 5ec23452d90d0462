"""A hone that is simulated: worn bores, stones that dull, a bore that warms, a gauge that errs.

Each run is a bore of its own. What the tool is told is what a person would read; what counts is
the true size. All figures are invented; sizes are ticks of 10 nm, times are strokes.

* worn: eight places up to 0.06 mm smaller than the largest; the hone takes more off where the
  bore is small;
* stones start between 0.6 and 2.5 um a stroke and dull to a third within 150 to 500 strokes; a
  pass removes as foretold but for a tenth (standard deviation);
* the bore warms by 10 to 20 K; it is corrected with a thermometer that errs by 1 K (rectangular);
* every reading errs by 0.002 mm (standard deviation).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, hypot, sqrt

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from fitsolver.at_hone.advice import Checks, Noise, next_step

GAUGE, PLACES = 200.0, 8
KELVIN = 6_250_000 * 10.5e-6  # growth of a bore of 62.5 mm in iron
FIRST_PASS, MOST_CHECKS, READ_AGAIN = 10, 40, 2


@dataclass(frozen=True)
class Outcome:
    """How a run ended: `passed` = somewhere truly larger than permitted."""

    passed: bool
    finished: bool
    checks: int


def hone_one(dice: Generator, window: float, risk: float, *, reckless: bool = False) -> Outcome:
    """Hone one bore as advised; `window` is highest minus lowest permitted local size.

    Reckless: instead straight to the highest size, at the rate between the last two checks.
    """
    low = float(dice.uniform(15_000, 25_000))
    high = low + window
    bore = dice.uniform(-6_000, 0, PLACES)
    bore[0] = 0.0
    rate, dulls = float(dice.uniform(60, 250)), float(dice.uniform(150, 500))
    warmest = float(dice.uniform(10, 20))
    thermal = KELVIN / sqrt(3)
    noise = Noise(hypot(GAUGE, thermal), hypot(GAUGE / sqrt(PLACES), thermal))
    counts, smallest, largest, mean = [0], [], [], []

    def read(warmth: float) -> None:
        error = KELVIN * float(dice.uniform(-1, 1)) if warmth else 0.0
        sizes = bore + dice.normal(0, GAUGE, PLACES) + error
        smallest.append(float(sizes.min()))
        largest.append(float(sizes.max()))
        mean.append(float(sizes.mean()))

    read(0.0)
    step, warmth, again = FIRST_PASS, 0.0, 0
    for checks in range(1, MOST_CHECKS + 1):
        sharp = (1 + 2 * exp(-counts[-1] / dulls)) / 3
        warmth += (warmest - warmth) * (1 - exp(-step / 60))
        pass_removes = rate * sharp * step * max(0.0, 1 + float(dice.normal(0, 0.1)))
        bore = _after(bore, pass_removes, parts=step // 2 + 1)
        counts.append(counts[-1] + step)
        read(warmth)
        if largest[-1] > high or smallest[-1] >= low:
            return Outcome(bool(bore.max() > high), True, checks)
        advised = next_step(Checks(counts, smallest, largest, mean), low, high, noise, risk)
        step = FIRST_PASS if advised is None else advised.count
        if reckless and advised is not None:
            removed = (mean[-1] - mean[-2]) / (counts[-1] - counts[-2])
            step = max(1, round((high - largest[-1]) / removed)) if removed > 0 else FIRST_PASS
        again = again + 1 if step == 0 else 0
        if again > READ_AGAIN:
            break
    return Outcome(bool(bore.max() > high), False, checks)


def _after(bore: NDArray[np.float64], removes: float, parts: int) -> NDArray[np.float64]:
    """Return a bore after a pass that removes so much on average, in parts: where it is small
    now it is cut faster."""
    for _ in range(parts):
        bite = np.exp((bore.min() - bore) / 2_500)
        bore = bore + removes / parts * bite / bite.mean()
    return bore


def hone_many(
    seed: int, runs: int, window: float, risk: float, *, reckless: bool = False
) -> list[Outcome]:
    """Hone so many bores."""
    dice = np.random.default_rng(seed)
    return [hone_one(dice, window, risk, reckless=reckless) for _ in range(runs)]
