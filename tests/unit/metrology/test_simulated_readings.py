"""Stated uncertainty against simulated readings: physics forwards, our correction backwards.

Lengths in ticks. Everything that errs is thrown; the readings that come of it are corrected
as a shop would, with the temperatures it believes, and the errors left are compared with the
stated ones.
"""

from __future__ import annotations

from math import sqrt
from typing import Any, Final

import numpy as np
import pytest

from fitsolver.metrology.sources import Sources
from fitsolver.metrology.temperature import size_at_20
from fitsolver.metrology.uncertainty import covariance, errors_of, fit_spreads
from fitsolver.records.measuring import Instrument, Measuring, Setting, Temperatures
from fitsolver.records.readings import GaugeZero

from ...oracle.small import bore, job, mm

THROWS: Final = 200_000
BORE, PISTON, ZERO = mm("62.3"), mm("62.24"), mm("62.25")
STEEL, IRON, ALUMINIUM = 11.5e-6, 11.4e-6, 19.4e-6
AT = Temperatures(
    bore=31_000,
    piston=23_000,
    standard=22_000,
    micrometer=22_000,
    uncertainty=1_000,
    expansion_share=80,
)
INSTRUMENTS = (
    Instrument(kind="outside micrometer", permissible_error=400, resolution=100, repeatability=60),
    Instrument(kind="bore gauge", standard_uncertainty=90, resolution=200, repeatability=120),
    Instrument(kind="setting master", permissible_error=250),
)

Floats = Any  # arrays of one figure a throw


def stated(setting: Setting) -> np.ndarray[Any, Any]:
    """Return the stated covariance of the clearance and the bore (minus the ring seat)."""
    measuring = Measuring(instruments=INSTRUMENTS, setting=setting, temperatures=AT)
    given = job(bore("1", BORE, zero=GaugeZero(size=ZERO)), measuring=measuring)
    spreads = fit_spreads(
        given,
        given.cylinders[0],
        bore=BORE,
        piston=PISTON,
        piston_measured=True,
        piston_expansion=19_400,
        sources=Sources(),
        gaps={1: None},
        over=None,
    )
    errors = errors_of(spreads)
    return np.array(covariance([errors["clearance", None], -errors["ring_seat", 1]]))


def simulated(setting: Setting, believed: Temperatures = AT) -> tuple[Floats, Floats]:
    """Return the errors of clearance and bore of so many measurements of the same two parts."""
    dice = np.random.default_rng(3)

    def even(half_width: float) -> Floats:
        return dice.uniform(-half_width, half_width, THROWS)

    def rounded(value: Floats, step: float) -> Floats:
        return value + even(step / 2)

    def spread(expansion: float) -> Floats:
        return expansion * (1 + even(0.08))

    def near(temperature: int) -> Floats:
        return temperature / 1000 + even(1)

    micrometer = even(400)
    a_mic, t_mic = spread(STEEL), near(AT.micrometer)
    piston_there = PISTON * (1 + spread(ALUMINIUM) * (near(AT.piston) - 20))
    # the micrometer's true opening at 20 °C is what it shows plus its calibration error
    read = piston_there / (1 + a_mic * (t_mic - 20)) - micrometer
    read = rounded(read + dice.normal(0, 60, THROWS), 100)
    if setting == "micrometer":
        opening = ZERO + micrometer + rounded(dice.normal(0, 60, THROWS), 100)
        standard_there = opening * (1 + a_mic * (t_mic - 20))
    else:
        standard_there = (ZERO + even(250)) * (1 + spread(STEEL) * (near(AT.standard) - 20))
    bore_there = BORE * (1 + spread(IRON) * (near(AT.bore) - 20))
    dial = bore_there - standard_there + dice.normal(0, 90, THROWS)
    zero = rounded(dice.normal(0, 120, THROWS), 200)  # the dial was set to zero once
    dial = rounded(dial - zero + dice.normal(0, 120, THROWS), 200)
    bore_20 = size_at_20(ZERO, dial, **model(believed.standard, IRON, believed.bore))
    piston_20 = size_at_20(read, 0.0, **model(believed.micrometer, ALUMINIUM, believed.piston))
    return bore_20 - piston_20 - (BORE - PISTON), bore_20 - BORE


def model(standard: int, part: float, at: int) -> dict[str, float]:
    return {
        "standard_expansion": STEEL,
        "standard_temperature": standard / 1000,
        "part_expansion": part,
        "part_temperature": at / 1000,
    }


@pytest.mark.parametrize("setting", ["micrometer", "master"])
def test_the_errors_left_are_as_large_and_as_correlated_as_stated(setting: Setting) -> None:
    found = np.cov(simulated(setting))
    said = stated(setting)
    assert np.sqrt(np.diag(found)) == pytest.approx(np.sqrt(np.diag(said)), rel=0.01)
    correlation = [cov[0, 1] / sqrt(cov[0, 0] * cov[1, 1]) for cov in (found, said)]
    assert correlation[0] == pytest.approx(correlation[1], abs=0.01)


@pytest.mark.parametrize("setting", ["micrometer", "master"])
def test_corrected_sizes_are_true_on_average(setting: Setting) -> None:
    """Within what so many throws can tell, five standard deviations of a mean."""
    for error in simulated(setting):
        assert abs(float(np.mean(error))) < 5 * float(np.std(error)) / sqrt(THROWS) + 1


def test_temperature_ignored_fails() -> None:
    """The wrong model: everything taken as read at 20 °C."""
    clearance, _ = simulated("micrometer", Temperatures())
    assert abs(float(np.mean(clearance))) > float(np.std(clearance))


def test_the_wrong_way_of_setting_fails() -> None:
    found = np.cov(simulated("micrometer"))[0, 0]
    assert sqrt(stated("master")[0, 0]) != pytest.approx(sqrt(found), rel=0.05)
