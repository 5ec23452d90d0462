"""Are the stated probabilities real?

True parts and their readings are drawn (`calibration_cases`), the tool decides from the readings
alone, and what it states is held against what is true, in ten bands of the stated probability.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import sqrt
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitsolver.metrology.measuring import guarded
from fitsolver.metrology.sources import Sources, standard
from fitsolver.metrology.temperature import (
    bore_expansion,
    instrument_expansion,
    size_at_20,
    standard_kind,
    temperatures_of,
)
from fitsolver.metrology.uncertainty import errors_of, fit_spreads
from fitsolver.records.job import Job
from fitsolver.records.measuring import Setting, Temperatures
from tests.bench.calibration_cases import Dice, Floats, Readings, Truth, draw
from tests.bench.calibration_workshops import WORKSHOPS, days
from tests.published.derived import conformance_probability

SEED: Final = 3
#: What the stated probability may be off in a band.
TARGET: Final = 0.01
#: Sampling errors that a band may be off beside.
SIGMAS: Final = 3.5
#: True clearances reach so many standard uncertainties beyond the window: nothing there
#: conforms by any reading.
BEYOND: Final = 6.0
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Outcome:
    """What was stated of each case and what is true of it.

    `accepted` is the guarded decision for 95 %, `plain` the one without a guard.
    """

    stated: Floats
    conforms: Flags
    accepted: Flags
    plain: Flags
    workshop: NDArray[np.int64]

    def of(self, workshop: int) -> Outcome:
        """Return the cases of one workshop."""
        chosen = self.workshop == workshop
        columns = (self.stated, self.conforms, self.accepted, self.plain, self.workshop)
        return Outcome(*(column[chosen] for column in columns))


class Band(NamedTuple):
    """Cases whose stated probability lies from `low` to below `high`."""

    low: float
    high: float
    cases: int
    stated: float
    realised: float

    @property
    def off(self) -> float:
        return self.realised - self.stated

    @property
    def sampling_error(self) -> float:
        """The standard deviation of the realised share if what is stated were true."""
        return sqrt(self.stated * (1 - self.stated) / self.cases) if self.cases else 1.0

    @property
    def enough(self) -> bool:
        """Enough cases to tell a difference of the target from chance."""
        return SIGMAS * self.sampling_error <= TARGET

    @property
    def agrees(self) -> bool:
        """Within the target, or within chance where the cases are too few for the target."""
        return abs(self.off) <= max(TARGET, SIGMAS * self.sampling_error)


Model = Callable[[Job], Job]


def right(job: Job) -> Job:
    """The job as it was measured."""
    return job


def without_correlation(job: Job) -> Job:
    """Wrong: as if the micrometer that set the gauge were another than measured the piston.

    That is the budget of a setting master as good as the micrometer.
    """
    measuring = job.measuring
    assert measuring is not None
    micrometer = measuring.instrument("outside micrometer")
    assert micrometer is not None
    twin = micrometer.model_copy(update={"kind": "setting master"})
    others = tuple(item for item in measuring.instruments if item.kind != "setting master")
    changed = {"instruments": (*others, twin), "setting": "master"}
    return job.model_copy(update={"measuring": measuring.model_copy(update=changed)})


def without_temperature(job: Job) -> Job:
    """Wrong: as if everything had been read at 20 °C sharp."""
    assert job.measuring is not None
    changed = job.measuring.model_copy(update={"temperatures": Temperatures()})
    return job.model_copy(update={"measuring": changed})


def uncertainty(job: Job, piston_expansion: int) -> float:
    """Return the standard uncertainty (ticks) of the clearance of a job at its nominal sizes."""
    nominal = job.cylinders[0].readings[0].size
    spreads = fit_spreads(
        job,
        job.cylinders[0],
        bore=nominal,
        piston=nominal,
        piston_measured=True,
        piston_expansion=piston_expansion,
        sources=Sources(),
        over=None,
    )
    errors = errors_of(spreads)
    return standard(errors["clearance", None])


def estimate(job: Job, readings: Readings, piston_expansion: int) -> Floats:
    """Return the clearances at 20 °C (ticks) that the readings give, each size rounded once.

    `readings` may have a further, first axis: several readings a case.
    """
    at = temperatures_of(job)
    bore = size_at_20(
        readings.zero,
        readings.dial,
        standard_expansion=instrument_expansion(job, standard_kind(job)) * 1e-9,
        standard_temperature=at.standard / 1000,
        part_expansion=bore_expansion(job, job.cylinders[0]) * 1e-9,
        part_temperature=at.bore / 1000,
    )
    piston = size_at_20(
        readings.piston,
        0,
        standard_expansion=instrument_expansion(job, "outside micrometer") * 1e-9,
        standard_temperature=at.micrometer / 1000,
        part_expansion=piston_expansion * 1e-9,
        part_temperature=at.piston / 1000,
    )
    clearance: Floats = np.rint(bore) - np.rint(piston)
    return clearance


def experiment(
    setting: Setting,
    count: int,
    *,
    seed: int = SEED,
    model: Model = right,
    all_normal: bool = False,
) -> Outcome:
    """Draw at least `count` cases of a measuring way and let the tool, or a wrong model, decide."""
    jobs = list(days(setting))
    dice = Dice(np.random.default_rng(seed), all_normal)
    parts = []
    for workshop, job in jobs:
        grows = workshop.piston_expansion
        beyond = BEYOND * uncertainty(job, grows)
        truth = draw(dice, job, grows, -(-count // len(jobs)), beyond)
        readings = truth.read(dice)
        parts.append(_decide(model(job), truth, readings, grows, WORKSHOPS.index(workshop)))
    columns = zip(*parts, strict=True)
    return Outcome(*(np.concatenate(column) for column in columns))


def _decide(
    job: Job, truth: Truth, readings: Readings, piston_expansion: int, workshop: int
) -> tuple[Floats, Flags, Flags, Flags, NDArray[np.int64]]:
    low, high = edges(job)
    u = uncertainty(job, piston_expansion)
    found = estimate(job, readings, piston_expansion)
    guard = guarded(job).cylinders[0].windows[0].guard
    return (
        stated_of(found, low, high, u),
        (low <= truth.clearance) & (truth.clearance <= high),
        (low + guard <= found) & (found <= high - guard),
        (low <= found) & (found <= high),
        np.full(found.size, workshop),
    )


def edges(job: Job) -> tuple[int, int]:
    """Return the edges of the job's window (ticks)."""
    low, high = job.windows[0].low, job.windows[0].high
    assert low is not None and high is not None
    return low, high


def stated_of(estimates: Floats, low: float, high: float, u: float) -> Floats:
    """Return the tool's probability for each estimate, worked out once for those alike."""
    values, where = np.unique(estimates, return_inverse=True)
    stated = [conformance_probability(low, high, value, u) for value in values.tolist()]
    return np.array(stated)[where]


def bands(outcome: Outcome) -> list[Band]:
    """Return ten bands of the stated probability."""
    return bands_of(outcome.stated, outcome.conforms)


def bands_of(stated_each: Floats, conforms: Flags) -> list[Band]:
    """Return ten bands of a probability stated for cases that conform or not."""
    index = np.minimum((stated_each * 10).astype(int), 9)
    cases = np.bincount(index, minlength=10)
    stated = np.bincount(index, weights=stated_each, minlength=10)
    realised = np.bincount(index, weights=conforms, minlength=10)
    return [
        Band(k / 10, (k + 1) / 10, n, total / max(n, 1), true / max(n, 1))
        for k, (n, total, true) in enumerate(
            zip(cases.tolist(), stated.tolist(), realised.tolist(), strict=True)
        )
    ]
