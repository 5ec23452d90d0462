"""What workshops do that the plain experiment does not: see how far the stated odds hold there.

Each function draws at least `count` cases of the gauge set in the micrometer, over the same
workshops, and returns the stated probability and whether the truth conforms.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from typing import Final, TypeAlias

import numpy as np

from fitsolver.metrology.repeats import least_ratio
from fitsolver.records.job import Job
from tests.bench.calibration_cases import Dice, Floats, Readings, Truth, draw
from tests.bench.calibration_experiment import (
    BEYOND,
    SEED,
    Flags,
    edges,
    estimate,
    stated_of,
    uncertainty,
)
from tests.bench.calibration_workshops import UM, days
from tests.published.derived import conformance_probability, worst_probability

#: How often a place is read where it is read repeatedly.
REPEATS: Final = 5
#: Standard deviation between people.
BETWEEN: Final = 4 * UM
PLACES: Final = 6
#: Standard deviation of the local sizes of one bore.
FORM: Final = 4 * UM
Result: TypeAlias = "tuple[Floats, Flags]"


def read_repeatedly(count: int, repeats: int = REPEATS) -> Result:
    """Every bore read several times: what the readings scatter joins the gauge's own figure."""
    return _joined(count, partial(_repeated, repeats))


def read_without_lifting(count: int) -> Result:
    """Five readings whose scatter is a third of the gauge's: the rest is alike in all of them."""
    return _joined(count, _not_anew)


def read_by_anyone(count: int, *, told: bool = True) -> Result:
    """Every bore read by another person, who reads off by a way of their own; or untold of."""
    return _joined(count, partial(_by_anyone, told))


def six_places(count: int) -> Result:
    """Six local sizes read once each: largest and smallest decide, all six shall conform."""
    return _joined(count, _places)


def well_honed(count: int) -> Result:
    """A hone that keeps to the middle of the window: a third of its half-width is one sigma."""
    return _joined(count, _honed)


Case: TypeAlias = Callable[[Dice, Job, int, Truth], "tuple[Floats, Flags]"]


def _joined(count: int, one: Case) -> Result:
    stated, conforms = zip(*_each(count, one), strict=True)
    return np.concatenate(stated), np.concatenate(conforms)


def _each(count: int, one: Case) -> Iterator[Result]:
    jobs = list(days("micrometer"))
    dice = Dice(np.random.default_rng(SEED))
    for workshop, job in jobs:
        grows = workshop.piston_expansion
        beyond = BEYOND * uncertainty(job, grows)
        yield one(dice, job, grows, draw(dice, job, grows, -(-count // len(jobs)), beyond))


def _conform(job: Job, clearance: Floats) -> Flags:
    low, high = edges(job)
    return (low <= clearance) & (clearance <= high)


def _repeated(repeats: int, dice: Dice, job: Job, grows: int, truth: Truth) -> Result:
    to_dial = truth.set_gauge(dice)
    dials = np.array([truth.gauge.show(dice, to_dial) for _ in range(repeats)])
    return _by_repeats(dice, job, grows, truth, dials)


def _not_anew(dice: Dice, job: Job, grows: int, truth: Truth) -> Result:
    to_dial = truth.set_gauge(dice)
    each = np.array([truth.gauge.show(dice, to_dial) for _ in range(REPEATS)])
    return _by_repeats(dice, job, grows, truth, np.rint(each[0] + (each - each[0]) / 3))


def _by_anyone(told: bool, dice: Dice, job: Job, grows: int, truth: Truth) -> Result:
    assert job.measuring is not None
    instruments = tuple(
        item.model_copy(update={"reproducibility": BETWEEN}) if item.kind == "bore gauge" else item
        for item in job.measuring.instruments
    )
    measuring = job.measuring.model_copy(update={"instruments": instruments})
    known = job.model_copy(update={"measuring": measuring}) if told else job
    once = truth.read(dice)
    own = dice.random.normal(0, BETWEEN, truth.clearance.size)
    return _single(known, grows, replace(once, dial=once.dial + own), truth)


def _by_repeats(dice: Dice, job: Job, grows: int, truth: Truth, dials: Floats) -> Result:
    once = truth.read(dice)
    found = estimate(job, replace(once, dial=dials.mean(axis=0)), grows)
    u = observed_uncertainty(job, grows, dials)
    low, high = edges(job)
    pairs = zip(found.tolist(), u.tolist(), strict=True)
    stated = [conformance_probability(low, high, value, own) for value, own in pairs]
    return np.array(stated), _conform(job, truth.clearance)


def observed_uncertainty(job: Job, piston_expansion: int, dials: Floats) -> Floats:
    """Return the standard uncertainty of each case from its own repeated readings.

    What `errors_of` gives a job with these repeats: the gauge's own repeatability, which counts
    eight degrees of freedom, and the observed one together: of their mean, and of setting the
    gauge once.
    """
    assert job.measuring is not None
    gauge = job.measuring.instrument("bore gauge")
    assert gauge is not None
    still = tuple(
        item.model_copy(update={"repeatability": 0}) if item.kind == "bore gauge" else item
        for item in job.measuring.instruments
    )
    measuring = job.measuring.model_copy(update={"instruments": still})
    rest = uncertainty(job.model_copy(update={"measuring": measuring}), piston_expansion)
    read = len(dials)
    seen: Floats = np.maximum(dials.var(axis=0, ddof=1), gauge.resolution**2 / 12)
    own = gauge.repeatability**2
    of_one = (8 * own + (read - 1) * seen) / (7 + read)
    anew = seen >= own * least_ratio(read - 1)
    return np.sqrt(rest**2 + np.where(anew, of_one / read + of_one, 2 * own))


def _places(dice: Dice, job: Job, grows: int, truth: Truth) -> Result:
    count = truth.clearance.size
    off = dice.random.normal(0, FORM, (PLACES, count))
    off -= (off.max(axis=0) + off.min(axis=0)) / 2  # the clearance is the middle of the bore's
    dials = truth.gauge.show(dice, truth.set_gauge(dice) + off)
    once = truth.read(dice)
    found = estimate(job, replace(once, dial=dials), grows)
    low, high = edges(job)
    u = uncertainty(job, grows)
    ends = zip(found.min(axis=0).tolist(), found.max(axis=0).tolist(), strict=True)
    stated = [worst_probability(least, most, low, high, u) for least, most in ends]
    conforms = _conform(job, truth.clearance + off).all(axis=0)
    return np.array(stated), conforms


def _honed(dice: Dice, job: Job, grows: int, truth: Truth) -> Result:
    low, high = edges(job)
    clearance = dice.random.normal((low + high) / 2, (high - low) / 6, truth.clearance.size)
    truth = replace(truth, clearance=clearance)
    return _single(job, grows, truth.read(dice), truth)


def _single(job: Job, grows: int, readings: Readings, truth: Truth) -> Result:
    low, high = edges(job)
    stated = stated_of(estimate(job, readings, grows), low, high, uncertainty(job, grows))
    return stated, _conform(job, truth.clearance)
