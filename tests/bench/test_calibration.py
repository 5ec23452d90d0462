"""The stated probabilities are real: held against simulated truth (docs/calibration.md).

Seeded. The everyday run draws 20,000 cases a measuring way and allows a band what chance may
do with so few; `pytest -m bench` draws enough of them for the target of one percentage point.
"""

from __future__ import annotations

from functools import cache
from math import sqrt

import numpy as np
import pytest

from fitsolver.metrology.correct import corrected
from fitsolver.metrology.measuring import guarded
from fitsolver.metrology.sources import Sources, standard
from fitsolver.metrology.uncertainty import errors_of, fit_spreads
from fitsolver.picking.decide import decide
from fitsolver.records.base import Range
from fitsolver.records.catalogue import Catalogue, Piston
from fitsolver.records.job import Job
from fitsolver.records.measuring import Setting
from fitsolver.records.readings import Reading
from tests.bench import calibration
from tests.bench.calibration_beyond import (
    REPEATS,
    observed_uncertainty,
    read_by_anyone,
    read_repeatedly,
    read_without_lifting,
    six_places,
)
from tests.bench.calibration_cases import Dice, draw
from tests.bench.calibration_experiment import (
    SIGMAS,
    TARGET,
    Band,
    Model,
    Outcome,
    bands,
    bands_of,
    edges,
    estimate,
    experiment,
    uncertainty,
)
from tests.bench.calibration_workshops import (
    MM,
    SETTINGS,
    WORKSHOPS,
    Workshop,
    days,
    with_readings,
)
from tests.docs.pages import DOCS
from tests.published.derived import conformance_probability

FEW = 20_000
SAMPLE = 4  # cases a job, of 36 jobs a measuring way

each_setting = pytest.mark.parametrize("setting", SETTINGS)
each_wrong_model = pytest.mark.parametrize(
    ("setting", "model"),
    [pytest.param(way, model, id=name) for name, way, model in calibration.WRONG],
)


@cache
def drawn(setting: Setting, count: int) -> Outcome:
    return experiment(setting, count)


def passes(outcome: Outcome) -> bool:
    """The experiment: stated and realised agree in every band."""
    return all(band.agrees for band in bands(outcome))


def own_uncertainty(job: Job, workshop: Workshop) -> float:
    """The tool's figure for one case, at its own sizes at 20 °C."""
    cylinder = job.cylinders[0]
    spreads = fit_spreads(
        job,
        cylinder,
        bore=cylinder.readings[0].size,
        piston=cylinder.piston_size or 0,
        piston_measured=True,
        piston_expansion=workshop.piston_expansion,
        sources=Sources(),
        over=None,
    )
    errors = errors_of(spreads)
    return standard(errors["clearance", None])


def catalogue(workshop: Workshop) -> Catalogue:
    """The one piston that every case of a workshop has."""
    nominal = workshop.size * MM
    piston = Piston(
        number="P1",
        oversize=0,
        nominal_bore=nominal,
        skirt=Range(low=nominal, high=nominal),
        alloy=workshop.alloy,
    )
    return Catalogue(name="invented", family="bench", standard_bore=nominal, pistons=(piston,))


def assert_risks(outcome: Outcome) -> None:
    """What is accepted, and that at the edge, is out of the window no more often than stated."""
    for chosen in (outcome.accepted, calibration.at_edge(outcome)):
        count, stated, realised = calibration.risks(outcome, chosen)
        chance = SIGMAS * sqrt(stated * (1 - stated) / count)
        assert count > 100
        assert realised <= stated + chance
        assert realised >= stated - max(TARGET, chance)


@each_setting
def test_arrays_give_what_a_job_gives(setting: Setting) -> None:
    """Case by case as a job through `corrected` and `errors_of`: the same, to the tick."""
    dice = Dice(np.random.default_rng(1))
    for workshop, job in days(setting):
        grows = workshop.piston_expansion
        readings = draw(dice, job, grows, SAMPLE, 0.0).read(dice)
        found = estimate(job, readings, grows)
        for case in range(SAMPLE):
            zero, dial, piston = (
                int(column[case]) for column in (readings.zero, readings.dial, readings.piston)
            )
            cylinder = with_readings(workshop.material, zero, dial, piston)
            one, _ = corrected(job.model_copy(update={"cylinders": (cylinder,)}))
            at_20 = one.cylinders[0]
            assert at_20.piston_size is not None
            assert at_20.readings[0].size - at_20.piston_size == found[case]
            own = own_uncertainty(one, workshop)
            assert own == pytest.approx(uncertainty(job, grows), rel=1e-3)


@each_setting
def test_a_whole_decision_states_the_same(setting: Setting) -> None:
    """Through the front door: solver, check and odds, accepted or not as the guard says."""
    dice = Dice(np.random.default_rng(3))
    statuses = set()
    for workshop, job in list(days(setting))[::2]:
        grows = workshop.piston_expansion
        readings = draw(dice, job, grows, 1, 0.0).read(dice)
        numbers = (int(c[0]) for c in (readings.zero, readings.dial, readings.piston))
        one = with_readings(workshop.material, *numbers)
        answer = decide(job.model_copy(update={"cylinders": (one,)}), catalogue(workshop))
        found = float(estimate(job, readings, grows)[0])
        (low, high), guard = edges(job), guarded(job).cylinders[0].windows[0].guard
        statuses.add(answer.status)
        assert (answer.plan is not None) == (low + guard <= found <= high - guard)
        if answer.plan is not None:
            (fit,) = (fit for fit in answer.plan.cylinders[0].fits if fit.fit == "clearance")
            u = uncertainty(job, grows)
            stated = conformance_probability(low, high, found, u)
            assert fit.uncertainty == pytest.approx(u, rel=1e-3)
            assert fit.probability == pytest.approx(stated, abs=1e-3)
    assert statuses == {"proven best", "nothing fits"}


def test_repeated_readings_give_what_a_job_gives() -> None:
    dice = Dice(np.random.default_rng(2))
    for workshop, job in days("micrometer"):
        grows = workshop.piston_expansion
        truth = draw(dice, job, grows, SAMPLE, 0.0)
        dials = np.array([truth.gauge.show(dice, truth.to_dial) for _ in range(REPEATS)])
        found = observed_uncertainty(job, grows, dials)
        for case in range(SAMPLE):
            sizes = [workshop.size * MM + round(dial) for dial in dials[:, case].tolist()]
            reading = Reading(depth=0, angle=0, size=round(np.mean(sizes)), repeats=tuple(sizes))
            cylinder = job.cylinders[0].model_copy(update={"readings": (reading,)})
            one = job.model_copy(update={"cylinders": (cylinder,)})
            assert own_uncertainty(one, workshop) == pytest.approx(found[case], rel=1e-3)


@each_setting
def test_stated_is_realised(setting: Setting) -> None:
    outcome = drawn(setting, FEW)
    assert outcome.stated.size >= FEW
    assert passes(outcome)


@each_wrong_model
def test_a_wrong_model_fails(setting: Setting, model: Model) -> None:
    assert not passes(experiment(setting, FEW, model=model))


@each_setting
def test_guarded_risk_is_not_above_the_stated(setting: Setting) -> None:
    outcome = drawn(setting, FEW)
    assert_risks(outcome)


@each_setting
def test_guarded_for_95_accepts_nothing_less_probable(setting: Setting) -> None:
    outcome = drawn(setting, FEW)
    assert outcome.stated[outcome.accepted].min() >= 0.95
    assert outcome.stated[outcome.plain].min() < 0.6


def test_the_seed_decides() -> None:
    first, again = (experiment("master", 1_000, seed=7) for _ in range(2))
    assert np.array_equal(first.stated, again.stated)
    assert not np.array_equal(first.stated, experiment("master", 1_000, seed=8).stated)


@pytest.mark.parametrize("repeats", [2, 3, 10])
def test_repeats_leave_the_odds_true(repeats: int) -> None:
    assert all(within(band) for band in bands_of(*read_repeatedly(FEW, repeats)))


def test_a_reader_s_own_way_is_counted_where_it_is_told() -> None:
    assert all(within(band) for band in bands_of(*read_by_anyone(FEW)))
    untold = bands_of(*read_by_anyone(FEW, told=False))
    assert not all(within(band) for band in untold)


def test_readings_that_were_not_taken_anew_are_off_by_little() -> None:
    for band in bands_of(*read_without_lifting(FEW)):
        assert abs(band.off) <= 0.035 + SIGMAS * band.sampling_error


def within(band: Band) -> bool:
    return abs(band.off) <= max(TARGET, SIGMAS * band.sampling_error)


def test_several_places_err_on_the_side_of_caution() -> None:
    """Where the model is coarse, what is good is understated."""
    for band in bands_of(*six_places(FEW)):
        if band.low >= 0.5:
            assert band.off >= -SIGMAS * band.sampling_error


@pytest.mark.bench
@each_setting
def test_stated_is_realised_to_one_point(setting: Setting) -> None:
    outcome = drawn(setting, calibration.CASES)
    for band in bands(outcome):
        assert band.enough, band
        assert abs(band.off) <= TARGET, band
    assert_risks(outcome)


@pytest.mark.bench
@each_setting
def test_what_is_left_is_the_shape_of_rectangular_sources(setting: Setting) -> None:
    """With normal sources every band of every workshop agrees, to what chance does."""
    outcome = experiment(setting, calibration.CASES, all_normal=True)
    for index in range(len(WORKSHOPS)):
        for band in bands(outcome.of(index)):
            assert abs(band.off) <= max(TARGET / 10, SIGMAS * band.sampling_error), band


@pytest.mark.bench
@each_wrong_model
def test_a_wrong_model_is_off_by_points(setting: Setting, model: Model) -> None:
    worst = max(
        bands(experiment(setting, calibration.FEWER, model=model)), key=lambda b: abs(b.off)
    )
    assert abs(worst.off) > 5 * TARGET


@pytest.mark.bench
def test_the_page_shows_these_tables() -> None:
    page = (DOCS / "calibration.md").read_text(encoding="utf-8")
    assert "\n".join(calibration.report()).strip() in page
