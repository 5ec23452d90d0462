"""True parts, instruments and temperatures drawn at random, and what is read of them.

Nothing here knows a standard uncertainty: calibration, temperature and expansion are off by a
draw from the stated distribution, an instrument with a resolution shows whole steps of it,
repeated acts scatter. Lengths are ticks, temperatures °C, expansions per kelvin; arrays have
one value a case.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from fitsolver.metrology.temperature import (
    bore_expansion,
    instrument_expansion,
    standard_kind,
    temperatures_of,
)
from fitsolver.records.job import Job
from fitsolver.records.measuring import Instrument, InstrumentKind
from tests.bench.calibration_workshops import UM

Floats: TypeAlias = NDArray[np.float64]
#: Pistons and settings vary by so much about the nominal size, several steps of any instrument.
SIZE_SPREAD: Final = 30 * UM


@dataclass(frozen=True)
class Dice:
    """Where draws come from; `all_normal` makes a normal one of every rectangular one."""

    random: np.random.Generator
    all_normal: bool = False

    def within(self, half_width: float, count: int) -> Floats:
        """Draw from the rectangular distribution of that half-width about 0."""
        if self.all_normal:
            return self.random.normal(0, half_width / sqrt(3), count)
        return self.random.uniform(-half_width, half_width, count)


@dataclass(frozen=True)
class Drawn:
    """An instrument with the error it has in each case: it shows the true length less that."""

    what: Instrument
    error: Floats

    def show(self, dice: Dice, length: Floats, *, scatters: bool = True) -> Floats:
        """Return what is read: scattered, in whole steps of the resolution (else of a tick)."""
        scatter = self.what.repeatability if scatters else 0
        step = self.what.resolution or 1
        shown = length - self.error + dice.random.normal(0, scatter, length.shape)
        return np.rint(shown / step) * step


@dataclass(frozen=True)
class Readings:
    """What the tool is told: the gauge's zero, its dial, the skirt size as read."""

    zero: Floats
    dial: Floats
    piston: Floats


@dataclass(frozen=True)
class Truth:
    """Parts at 20 °C (`clearance`, `piston`, `standard`), how each grew, and the instruments."""

    clearance: Floats
    piston: Floats
    standard: Floats
    bore_growth: Floats
    piston_growth: Floats
    standard_growth: Floats
    micrometer_growth: Floats
    set_in: Drawn
    gauge: Drawn
    micrometer: Drawn

    @property
    def to_dial(self) -> Floats:
        """By how much the warm bore is larger than the standard that the gauge was set in."""
        bore = (self.piston + self.clearance) * self.bore_growth
        return bore - self.standard * self.standard_growth

    def set_gauge(self, dice: Dice) -> Floats:
        """Return by how much the warm bore is larger than where the dial was set to zero.

        It was set at a turning point that scatters as the gauge does, no finer than it is read.
        """
        what, count = self.gauge.what, self.standard.size
        scatter = dice.random.normal(0, what.repeatability, count)
        return self.to_dial - scatter - dice.within(what.resolution / 2, count)

    def read(self, dice: Dice) -> Readings:
        """Set the gauge, read the bore once and measure the piston."""
        return Readings(
            zero=self.set_in.show(dice, self.standard),
            dial=self.gauge.show(dice, self.set_gauge(dice)),
            piston=self.read_piston(dice),
        )

    def read_piston(self, dice: Dice) -> Floats:
        """Measure the piston with the micrometer."""
        warm = self.piston * self.piston_growth
        return self.micrometer.show(dice, warm / self.micrometer_growth)


def draw(dice: Dice, job: Job, piston_expansion: int, count: int, beyond: float) -> Truth:
    """Return true cases of a job; clearances lie evenly over its window and `beyond` it.

    Evenly, for the tool takes nothing for granted of a clearance before it is measured.
    """
    low, high = job.windows[0].low, job.windows[0].high
    assert low is not None and high is not None
    cylinder, at, kind = job.cylinders[0], temperatures_of(job), standard_kind(job)

    micrometer = set_in = _instrument(dice, job, "outside micrometer", count)
    own = instrument_expansion(job, "outside micrometer")
    micrometer_growth = standard_growth = _growth(dice, job, own, at.micrometer, count)
    if kind != "outside micrometer":
        set_in = _instrument(dice, job, kind, count)
        own = instrument_expansion(job, kind)
        standard_growth = _growth(dice, job, own, at.standard, count)

    nominal = cylinder.readings[0].size
    return Truth(
        clearance=dice.random.uniform(low - beyond, high + beyond, count),
        piston=nominal + dice.random.uniform(-SIZE_SPREAD, SIZE_SPREAD, count),
        standard=nominal + dice.random.uniform(-SIZE_SPREAD, SIZE_SPREAD, count),
        bore_growth=_growth(dice, job, bore_expansion(job, cylinder), at.bore, count),
        piston_growth=_growth(dice, job, piston_expansion, at.piston, count),
        standard_growth=standard_growth,
        micrometer_growth=micrometer_growth,
        set_in=set_in,
        gauge=_instrument(dice, job, "bore gauge", count),
        micrometer=micrometer,
    )


def _instrument(dice: Dice, job: Job, kind: InstrumentKind, count: int) -> Drawn:
    found = None if job.measuring is None else job.measuring.instrument(kind)
    assert found is not None
    if found.standard_uncertainty is not None:
        return Drawn(found, dice.random.normal(0, found.standard_uncertainty, count))
    return Drawn(found, dice.within(found.permissible_error or 0, count))


def _growth(dice: Dice, job: Job, expansion: int, temperature: int, count: int) -> Floats:
    """Return true length over length at 20 °C, expansion and temperature being off."""
    at = temperatures_of(job)
    true_temperature = (temperature + dice.within(at.uncertainty, count)) / 1000
    share = dice.within(at.expansion_share / 1000, count)
    return 1 + expansion * 1e-9 * (1 + share) * (true_temperature - 20)
