"""What is known of the gauge before a line is fitted."""

from __future__ import annotations

from math import hypot, sqrt

import pytest

from fitsolver.honing.noise import ASSUMED, check_noise, gauge_scatter
from fitsolver.metrology.instrument_sets import instrument_set
from fitsolver.records.job import Job
from fitsolver.records.measuring import Instrument, Measuring, Temperatures
from fitsolver.usecases import files as service
from tests.unit.cli.run import PUMP


@pytest.fixture(scope="module")
def job() -> Job:
    return service.load(PUMP)[0]


def measured(job: Job, measuring: Measuring) -> Job:
    return job.model_copy(update={"measuring": measuring})


def test_where_nothing_is_told_it_is_assumed(job: Job) -> None:
    assert gauge_scatter(job) is None
    noise = check_noise(job, job.cylinders[0], 9)
    assert (noise.extreme, noise.mean) == (ASSUMED, ASSUMED / 3)


def test_the_instrument_of_the_job_then_that_of_its_set(job: Job) -> None:
    gauge = Instrument(kind="bore gauge", repeatability=80, resolution=100)
    told = measured(job, Measuring(instruments=(gauge,)))
    assert gauge_scatter(told) == pytest.approx(hypot(80, 100 / sqrt(12)))
    told = measured(job, Measuring(set_name="everyday set"))
    ready = next(item for item in instrument_set("everyday set") if item.kind == "bore gauge")
    assert gauge_scatter(told) == hypot(ready.repeatability, ready.resolution / sqrt(12))


def test_repeated_readings_count_before_the_instrument(job: Job) -> None:
    first, *others = job.cylinders[0].readings
    first = first.model_copy(update={"repeats": tuple(first.size + d for d in (-100, 0, 100, 0))})
    cylinder = job.cylinders[0].model_copy(update={"readings": (first, *others)})
    repeated = job.model_copy(update={"cylinders": (cylinder, *job.cylinders[1:])})
    variance = 20_000 / 3
    assert gauge_scatter(repeated) == pytest.approx(sqrt(variance * 3))  # three degrees: x n/(n-2)


def test_the_temperature_errs_alike_everywhere(job: Job) -> None:
    """One kelvin either way, rectangular, of iron: no number of places takes it away."""
    warm = measured(job, Measuring(temperatures=Temperatures(uncertainty=1_000)))
    noise = check_noise(warm, job.cylinders[0], 9)
    one = sqrt(noise.extreme**2 - ASSUMED**2)
    assert one == pytest.approx(6_226_000 * 11e-6 / sqrt(3), rel=0.1)
    assert noise.mean == pytest.approx(hypot(ASSUMED / 3, one))
