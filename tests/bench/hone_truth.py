"""Bores at the hone as they truly are, thousands side by side: what the advice is tried on.

All invented; sizes are ticks of 10 nm. Every bore has eight places (four depths, two axes), worn by
up to 0.06 mm, 0.15 to 0.25 mm below its lowest size; what stands in is cut faster. Stones take 0.6
to 2.5 um a stroke. A gauge errs by 0.002 mm (standard deviation). Each `World` adds its own.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

Floats = NDArray[np.float64]
GAUGE, KELVIN = 200.0, 6_250_000 * 10.5e-6
DEPTHS, AXES = (100, 300, 500, 700), (0, 90)
PLACES = tuple((depth, axis) for depth in DEPTHS for axis in AXES)
#: Highest less lowest local size: 0.008 (four standard deviations of the gauge) to 0.050 mm.
WINDOWS = (800.0, 1_400.0, 2_000.0, 5_000.0)
PARTS, NEVER = 12, 99


@dataclass(frozen=True)
class World:
    """What differs from a steady hand on stones that do not dull.

    `pace` is the standard deviation of what a pass takes, a share of it; `glazes` tells that the
    stones dull to a third within 150 to 500 strokes, `dressed` that they are once sharp again
    before the second to eighth pass, and `said` that the log then names them anew. `blunt` stones
    begin dulled to a third up to a half, and were never seen sharp. Of the passes a share
    `miscounted` is written down as half to twice its strokes, of the readings a share `bad` is 5 to
    50 um off. `warm` bores are up to 20 K warmer, and the thermometer errs by 1 K.
    """

    name: str
    pace: float = 0.05
    glazes: bool = False
    dressed: bool = False
    said: bool = False
    blunt: bool = False
    miscounted: float = 0.0
    bad: float = 0.0
    warm: bool = False
    again: int = 0


WORLDS = (
    World("steady"),
    World("pace +-30 %", pace=0.30),
    World("stones glaze", pace=0.10, glazes=True),
    World("dressed, said", pace=0.10, glazes=True, dressed=True, said=True),
    World("dressed, unsaid", pace=0.10, glazes=True, dressed=True),
    World("miscounts 2 %", pace=0.10, miscounted=0.02),
    World("bad readings 2 %", pace=0.10, bad=0.02),
    World("warm bore", pace=0.10, warm=True),
    World("read six times", pace=0.10, again=5),
    World("all of these", 0.20, glazes=True, dressed=True, miscounted=0.02, bad=0.02, warm=True),
)
#: Outside of what the advice can know: sharper than the log ever saw these stones.
BEYOND = (World("dressed, never seen sharp", pace=0.10, dressed=True, blunt=True),)


class Truth:
    """So many bores of one world, all at the same check."""

    def __init__(self, world: World, bores: int, dice: Generator) -> None:
        self.world, self.dice, self.bores = world, dice, bores
        self.low = dice.uniform(15_000, 25_000, bores)
        self.high = self.low + np.resize(WINDOWS, bores)
        self.sizes = dice.uniform(-6_000, 0, (bores, len(PLACES)))
        self.sizes[:, 0] = 0.0
        self.rate = dice.uniform(60, 250, bores)
        self.dulls = dice.uniform(150, 500, bores)
        self.used = np.zeros(bores)
        self.dress = dice.integers(2, 9, bores) if world.dressed else np.full(bores, NEVER)
        self.blunt = dice.uniform(1 / 3, 1 / 2, bores) if world.blunt else np.ones(bores)
        self.warmest = dice.uniform(10, 20, bores) * world.warm
        self.warmth = np.zeros(bores)
        self.passes = np.zeros(bores, dtype=int)

    def hone(self, strokes: NDArray[np.int64]) -> None:
        """Take so many strokes in every bore."""
        taken = strokes > 0
        self.passes += taken
        dressed = taken & (self.passes == self.dress)
        self.used[dressed] = 0
        self.blunt[dressed] = 1.0
        dull = np.exp(-self.used / self.dulls) if self.world.glazes else 1.0
        sharp = self.blunt * (1 + 2 * dull) / 3
        effect = np.clip(1 + self.dice.normal(0, self.world.pace, self.bores), 0.1, 1.9)
        takes = self.rate * sharp * strokes * effect / PARTS
        for _ in range(PARTS):
            bite = np.exp((self.sizes.min(axis=1, keepdims=True) - self.sizes) / 2_500)
            self.sizes += takes[:, None] * bite / bite.mean(axis=1, keepdims=True)
        self.used += strokes
        self.warmth += (self.warmest - self.warmth) * (1 - np.exp(-strokes / 60))

    def named_anew(self) -> NDArray[np.bool_]:
        """Tell for which bores the last pass was of dressed stones, and the log says so."""
        return (self.passes == self.dress) & self.world.said

    def written(self, strokes: NDArray[np.int64]) -> NDArray[np.int64]:
        """Return what is written down for strokes."""
        wrong = self.dice.random(self.bores) < self.world.miscounted
        factor = np.exp(self.dice.uniform(-np.log(2), np.log(2), self.bores))
        typed = np.maximum(1, np.round(strokes * factor)).astype(np.int64)
        return np.where(wrong & (strokes > 0), typed, strokes)

    def read(self) -> Floats:
        """Return a reading of every place, corrected to 20 °C."""
        kelvin = self.dice.uniform(-1, 1, (self.bores, 1)) * (self.warmth[:, None] > 0)
        errs = self.dice.normal(0, GAUGE, self.sizes.shape) + KELVIN * kelvin
        wrong = self.dice.random(self.sizes.shape) < self.world.bad
        off = np.exp(self.dice.uniform(np.log(500), np.log(5_000), self.sizes.shape))
        off *= self.dice.choice((-1.0, 1.0), self.sizes.shape)
        return np.round((self.sizes + errs + wrong * off) / 100) * 100
