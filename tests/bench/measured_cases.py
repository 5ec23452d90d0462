"""True parts, instruments and temperatures drawn at random, and what is read of them.

Nothing here knows of standard uncertainties but how far to spread the true clearances:
calibration, temperature and expansion are off by a draw from the stated distribution, an
instrument of a resolution shows whole steps of it, repeated acts scatter. Lengths are ticks,
temperatures °C, expansions per kelvin; arrays have one value a case.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

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
from tests.bench.workshops import UM

Dice: TypeAlias = np.random.Generator
Floats: TypeAlias = NDArray[np.float64]
#: Pistons vary by so much about their nominal size, several steps of any instrument.
PISTON_SPREAD = 30 * UM


@dataclass(frozen=True)
class Cases:
    """The true clearances, and the readings: the gauge's zero, its dial, the skirt size."""

    clearance: Floats
    zero: Floats
    dial: Floats
    piston: Floats


@dataclass(frozen=True)
class _Instrument:
    """An instrument with the error it has in each case: it shows the true length less that."""

    what: Instrument
    error: Floats

    def show(self, dice: Dice, length: Floats) -> Floats:
        scatter = dice.normal(0, self.what.repeatability, length.size)
        step = self.what.resolution or 1
        return np.rint((length - self.error + scatter) / step) * step


def draw(dice: Dice, job: Job, piston_expansion: int, count: int, beyond: float) -> Cases:
    """Return measured cases of a job; true clearances lie evenly in its window and `beyond` it.

    Evenly, for the tool takes nothing for granted of a clearance before it is measured.
    """
    low, high = job.windows[0].low, job.windows[0].high
    assert low is not None and high is not None
    cylinder, at = job.cylinders[0], temperatures_of(job)
    kind = standard_kind(job)

    micrometer = _instrument(dice, job, "outside micrometer", count)
    standard = micrometer if kind == "outside micrometer" else _instrument(dice, job, kind, count)
    gauge = _instrument(dice, job, "bore gauge", count)
    micrometer_growth = _growth(
        dice, job, instrument_expansion(job, "outside micrometer"), at.micrometer, count
    )
    standard_growth = micrometer_growth
    if kind != "outside micrometer":
        standard_growth = _growth(dice, job, instrument_expansion(job, kind), at.standard, count)
    bore_growth = _growth(dice, job, bore_expansion(job, cylinder), at.bore, count)
    piston_growth = _growth(dice, job, piston_expansion, at.piston, count)

    clearance = dice.uniform(low - beyond, high + beyond, count)
    nominal = float(cylinder.readings[0].size)
    piston = nominal + dice.uniform(-PISTON_SPREAD, PISTON_SPREAD, count)
    length = nominal + dice.uniform(-PISTON_SPREAD, PISTON_SPREAD, count)  # of the standard
    bore = (piston + clearance) * bore_growth
    return Cases(
        clearance=clearance,
        zero=standard.show(dice, length),
        dial=gauge.show(dice, bore - length * standard_growth),
        piston=micrometer.show(dice, piston * piston_growth / micrometer_growth),
    )


def _instrument(dice: Dice, job: Job, kind: InstrumentKind, count: int) -> _Instrument:
    found = None if job.measuring is None else job.measuring.instrument(kind)
    assert found is not None
    if found.standard_uncertainty is not None:
        return _Instrument(found, dice.normal(0, found.standard_uncertainty, count))
    permissible = found.permissible_error or 0
    return _Instrument(found, dice.uniform(-permissible, permissible, count))


def _growth(dice: Dice, job: Job, expansion: int, temperature: int, count: int) -> Floats:
    """Return how long something is of its length at 20 °C, expansion and temperature being off."""
    at = temperatures_of(job)
    off = dice.uniform(-at.uncertainty, at.uncertainty, count)
    share = at.expansion_share / 1000
    true_expansion = expansion * 1e-9 * (1 + dice.uniform(-share, share, count))
    return 1 + true_expansion * ((temperature + off) / 1000 - 20)
