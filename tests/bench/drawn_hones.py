"""Whole logs of drawn hones, as a person would type them, with the truth beside them.

All invented. A bore of 62.3 mm is worn smoothly, most at the top and on the thrust axis, by 0.02 to
0.12 mm; or a bar has cut it to one size within 0.004 mm. Coarse stones take 0.6 to 2.5 um a stroke,
fine ones from 0.04 mm before the lowest size on a quarter of that; both dull. Places that stand in
are cut faster, a pass takes a tenth more or less than its stones would, the bore warms by up to
20 K and is corrected with a thermometer that errs by 1 K, and a reading errs by 0.002 mm (standard
deviation) before it is rounded to 0.001 mm, or to 0.00005 in.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import exp

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from fitsolver.base.lengths import Unit, exact_text
from fitsolver.honing.doubts import judged
from fitsolver.honing.first import paces_of
from fitsolver.honing.log import Entry
from fitsolver.honing.log_line import entry_line, parse_entry
from fitsolver.honing.start import Start
from fitsolver.honing.state import Next, Target, hone_state
from fitsolver.records.base import Range
from fitsolver.records.hone import HoneState
from fitsolver.records.job import Cylinder, Job
from fitsolver.records.readings import GaugeZero, Reading, Zone

#: 8, 18, 28, 62 and 74 mm; 0.3, 0.7, 1.1, 2.4 and 2.9 in.
DEPTHS: dict[Unit, tuple[int, ...]] = {
    "mm": (800_000, 1_800_000, 2_800_000, 6_200_000, 7_400_000),
    "in": (762_000, 1_778_000, 2_794_000, 6_096_000, 7_366_000),
}
AXES = (0, 90)
STANDARD, ZERO, GAUGE = 6_225_000, 6_217_600, 200.0
RISK, MOST_CHECKS, READ_AGAIN, FINE_FROM = 0.05, 40, 2, 4_000.0
#: Highest less lowest permitted local size: 0.008 to 0.050 mm.
WINDOWS = (800, 1_400, 2_000, 5_000)
GROWTH = 62.3e5 * 11.4e-6  # ticks a kelvin, in iron


@dataclass(frozen=True)
class Step:
    """One entry: its cells as typed, the bore's true sizes after it, and the true pace then."""

    cells: tuple[str, ...]
    largest: float
    smallest: float
    pace: float


@dataclass(frozen=True)
class Drawn:
    """A job of one cylinder, what it is honed to, and its log."""

    job: Job
    target: Target
    start: Start
    steps: tuple[Step, ...] = ()

    @property
    def cylinder(self) -> Cylinder:
        return self.job.cylinders[0]

    def entries(self, lines: Iterator[str] | list[str]) -> list[Entry]:
        return [Entry(place, parse_entry(text, self.job)) for place, text in enumerate(lines, 1)]

    def lines(self, count: int) -> list[str]:
        return [entry_line(step.cells) for step in self.steps[:count]]

    def state(self, entries: list[Entry]) -> HoneState:
        """Return what the hone says, whatever is doubted."""
        checks, _ = judged(self.job, self.cylinder, entries, "", self.start, frozenset())
        ahead = Next(RISK, paces=paces_of([checks]))
        return hone_state(self.job, self.cylinder, self.target, checks, 0, ahead)


def draw(dice: Generator) -> Drawn:
    """Draw a bore and hone it as advised, to the end."""
    unit: Unit = "mm" if dice.random() < 0.7 else "in"
    dial, bored = bool(dice.random() < 0.5), bool(dice.random() < 0.25)
    bore = STANDARD + _worn(dice)
    cylinder = Cylinder(
        name="1",
        material="iron",
        zone=Zone(top=600_000, bottom=7_800_000),
        zero=GaugeZero(size=ZERO) if dial else None,
        readings=_read(dice, bore, 0.0, unit, dial=dial),
    )
    low = int(bore.max()) + int(dice.uniform(10_000, 25_000))
    high = low + int(dice.choice(WINDOWS))
    half = (high - low) // 4
    target = Target(low + half, high - half, half, Range(low=low + half, high=low + half))
    start = Start(cut_before_log="bore" if bored else "", high=high)
    drawn = Drawn(Job(name="drawn", unit=unit, cylinders=(cylinder,)), target, start)
    return replace(drawn, steps=tuple(_hone(dice, drawn, bore, dial=dial, bored=bored)))


def _worn(dice: Generator) -> NDArray[np.float64]:
    """Return how far each place is worn beyond the standard bore (ticks)."""
    depths = DEPTHS["mm"]
    depth = np.array([d for d in depths for _ in AXES]) / depths[-1]
    thrust = np.array([axis == 0 for _ in depths for axis in AXES])
    top, oval = dice.uniform(2_000, 12_000), dice.uniform(0, 0.4)
    worn = top * np.exp(-dice.uniform(0.8, 2.5) * depth) * (1 + oval * thrust)
    return np.asarray(worn, dtype=np.float64)


def _hone(
    dice: Generator, drawn: Drawn, bore: NDArray[np.float64], *, dial: bool, bored: bool
) -> Iterator[Step]:
    unit, target = drawn.job.unit, drawn.target
    rate, dulls = float(dice.uniform(60, 250)), float(dice.uniform(150, 500))
    warmest, warmth, total, again = float(dice.uniform(5, 20)), 0.0, 0, 0
    lines: list[str] = []
    step, stones = 10, "180"
    for check in range(MOST_CHECKS):
        cut = bored and not check
        if cut:
            bore = np.maximum(bore, target.low - dice.uniform(5_000, 9_000) + _bar(dice, bore))
        fine = not cut and bore.min() > target.low - FINE_FROM
        stones = "bore" if cut else "400" if fine else "180"
        pace = rate * (0.25 if fine else 1.0) * (1 + 2 * exp(-total / dulls)) / 3
        strokes = 0 if cut else step
        if strokes:
            warmth += (warmest - warmth) * (1 - exp(-strokes / 60))
            removes = pace * strokes * max(0.0, 1 + float(dice.normal(0, 0.1)))
            bore = _cut(bore, removes, strokes)
        total += strokes
        shown = round(warmth)
        error = GROWTH * (shown - warmth + float(dice.uniform(-1, 1))) if warmth else 0.0
        grown = GROWTH * shown - error
        readings = _read(dice, bore, grown, unit, dial=dial)
        head = ("1", str(strokes), stones, f"{20 + shown}")
        cells = (*head, *(_cell(reading, unit) for reading in readings))
        yield Step(cells, float(bore.max()), float(bore.min()), pace)
        lines.append(entry_line(cells))
        state = drawn.state(drawn.entries(lines))
        if state.advice in ("too large", "stop"):
            return
        step = 10 if state.next_count is None else state.next_count
        again = again + 1 if not step else 0
        if again > READ_AGAIN:
            return


def _bar(dice: Generator, bore: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(dice.uniform(-400, 400, bore.size), dtype=np.float64)


def _cut(bore: NDArray[np.float64], removes: float, strokes: int) -> NDArray[np.float64]:
    """Return a bore after a pass: what stands in is cut faster."""
    parts = strokes // 2 + 1
    for _ in range(parts):
        bite = np.exp((bore.min() - bore) / 2_500)
        bore = bore + removes / parts * bite / bite.mean()
    return bore


def _read(
    dice: Generator, bore: NDArray[np.float64], grown: float, unit: Unit, *, dial: bool
) -> tuple[Reading, ...]:
    grid = 100 if unit == "mm" else 127
    base = ZERO if dial else 0
    places = [(depth, angle) for depth in DEPTHS[unit] for angle in AXES]
    found = []
    for (depth, angle), size in zip(places, bore, strict=True):
        read = round((size + grown + dice.normal(0, GAUGE) - base) / grid) * grid
        found.append(
            Reading(depth=depth, angle=angle, size=base + read, dial=read if dial else None)
        )
    return tuple(found)


def _cell(reading: Reading, unit: Unit) -> str:
    figure = reading.size if reading.dial is None else reading.dial
    return f"{exact_text(reading.depth, unit)} {reading.axis} {exact_text(figure, unit)}"
