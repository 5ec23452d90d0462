"""Probabilities of a plan, against the normal distribution itself (scipy)."""

from __future__ import annotations

from math import pi, sqrt

import pytest
from rich.console import Console
from scipy.stats import norm

from fitsolver.picking.decide import decide
from fitsolver.records.job import Engine, InHand, PinnedRing, Rise
from fitsolver.records.measuring import Instrument, Measuring, Temperatures
from fitsolver.records.plan import Answer, CylinderPlan, Fit
from fitsolver.records.readings import Reading, Zone
from fitsolver.records.windows import Window
from fitsolver.verbs.report import report as report_of
from tests.unit.rules import small

GAUGE = Instrument(kind="bore gauge", standard_uncertainty=500)
MICROMETER = Instrument(kind="outside micrometer", standard_uncertainty=0)
BORED = Measuring(instruments=(GAUGE, MICROMETER))


def test_a_fit_conforms_where_both_ends_of_its_range_do() -> None:
    """Least 62.005 - 61.956, most 62.009 - 61.955; both share the gauge's error."""
    window = Window(fit="clearance", low=4_300, high=6_000)
    plan = decide(small.job(window, measuring=BORED), small.catalogue()).plan
    assert plan is not None
    fit = plan.cylinders[0].fits[0]
    expected = norm.cdf((6_000 - fit.most) / 500) - norm.cdf((4_300 - fit.least) / 500)
    assert fit.uncertainty == pytest.approx(500, rel=1e-6)
    assert fit.probability == pytest.approx(expected, abs=1e-9)
    assert plan.cylinders[0].probability == pytest.approx(fit.probability, abs=1e-9)
    assert plan.probability == pytest.approx(fit.probability, abs=1e-9)


def test_fits_of_one_bore_are_not_independent() -> None:
    """A bore too large is too large for clearance and gap at once: no product of the two."""
    windows = (
        Window(fit="clearance", high=6_000),
        Window(fit="end_gap", high=30_000 + 2_828 + 1_885),
    )
    plan = decide(small.job(*windows, measuring=BORED), small.catalogue()).plan
    assert plan is not None
    by_fit = {fit.fit: fit.probability for fit in plan.cylinders[0].fits}
    single = min(by_fit["clearance"], by_fit["end_gap"])
    assert plan.probability == pytest.approx(single, abs=1e-6)
    assert plan.probability > by_fit["clearance"] * by_fit["end_gap"] + 0.01


def test_a_job_that_tells_nothing_has_no_odds() -> None:
    plan = decide(small.job(Window(fit="clearance", high=6_000)), small.catalogue()).plan
    assert plan is not None
    assert plan.probability is None
    assert plan.cylinders[0].fits[0].probability is None


def test_temperatures_alone_tell_no_odds() -> None:
    """Without an instrument nothing is known of a reading's error: no 100 % of anything."""
    warm = Temperatures(bore=25_000, uncertainty=1_000)
    task = small.job(Window(fit="clearance", high=8_000), measuring=Measuring(temperatures=warm))
    answer = decide(task, small.catalogue())
    assert answer.plan is not None and answer.corrections
    assert answer.plan.probability is None
    for cylinder in answer.plan.cylinders:
        assert cylinder.probability is None
        assert {(fit.uncertainty, fit.probability) for fit in cylinder.fits} == {(None, None)}
    assert "likely" not in to_text(answer)


def to_text(answer: Answer) -> str:
    console = Console(width=100, no_color=True)
    with console.capture() as capture:
        console.print(report_of(answer))
    return capture.get()


def test_two_cylinders_share_the_instrument() -> None:
    """One gauge for both bores: its error is the same in each, so both conform or neither."""
    pair = (small.CYLINDER, small.cylinder(name="2"))
    task = small.job(Window(fit="clearance", high=6_000), cylinders=pair, measuring=BORED)
    plan = decide(task, small.catalogue()).plan
    assert plan is not None
    assert plan.probability == pytest.approx(plan.cylinders[0].probability, abs=1e-6)


@pytest.mark.parametrize(
    ("own", "of_the_job", "expansion"),
    [
        ("al_390", "al_2618", 18_000),
        ("", "al_2618", 22_300),
        ("cheese", "al_2618", 22_300),
        ("", "", 11_500),  # neither is known: steel
    ],
)
def test_a_piston_grows_as_its_alloy_else_as_the_job_s(
    own: str, of_the_job: str, expansion: int
) -> None:
    """One degree of bore (iron, 11400) and measured piston, nothing else being off.

    The guard of that job is of the same uncertainty.
    """
    alloys = {"bore_alloy": "grey_iron", "piston_alloy": of_the_job, "ring_alloy": "steel_1020"}
    rise = Rise(bore=0, piston=0, ring=0, **alloys) if of_the_job else None
    task = small.job(
        Window(fit="clearance", low=4_000, high=8_000),
        cylinders=(small.cylinder(piston="P", piston_size=6_195_550),),
        engine=Engine(rise=rise),
        measuring=Measuring(
            instruments=(MICROMETER,),
            temperatures=Temperatures(uncertainty=1_000),
            decision="guarded",
            factor=1_000,
        ),
    )
    parts = small.catalogue(pistons=(small.part(small.PISTON, alloy=own),))
    plan = decide(task, parts).plan
    assert plan is not None
    (fit,) = (fit for fit in plan.cylinders[0].fits if fit.fit == "clearance")
    expected = small.READ * sqrt(11_400**2 + expansion**2) * 1e-9 / sqrt(3)
    assert fit.uncertainty == pytest.approx(expected, rel=2e-3)
    assert fit.guard == pytest.approx(expected, abs=1.5)


MM = 100_000
READ = ((1, 0, 60), (1, 90, 20), (3, 0, 40), (3, 90, 0))


def finished(
    *places: tuple[int, int, int], windows: tuple[Window, ...], **facts: object
) -> CylinderPlan:
    """A finished bore of 62.005 and so many ticks at depth (mm), angle, with its own piston."""
    readings = tuple(
        Reading(depth=depth * MM, angle=angle, size=6_200_500 + size)
        for depth, angle, size in places
    )
    bore = {"piston_size": 6_195_500, "piston": "P", "readings": readings, "unworn": None}
    one = small.cylinder(**{**bore, "zone": Zone(top=0, bottom=5 * MM), **facts})
    gauge = GAUGE.model_copy(update={"repeatability": 80})
    measuring = Measuring(instruments=(gauge, MICROMETER))
    job = small.job(*windows, cylinders=(one,), measuring=measuring, finishing="already finished")
    plan = decide(job, small.catalogue()).plan
    assert plan is not None
    assert plan.odds_of == plan.cylinders[0].odds_of
    return plan.cylinders[0]


CLEARANCE = Window(fit="clearance", low=4_400, high=5_800)


def test_the_whole_bore_is_less_likely_than_what_was_read() -> None:
    bore = finished(*READ, windows=(CLEARANCE,))
    fit = bore.fits[0]
    assert bore.odds_of == "whole bore" and bore.whole_probability is None
    assert fit.beyond_low is not None and fit.beyond_high is not None
    assert fit.beyond_low < 0 < fit.beyond_high
    assert fit.probability is not None and fit.uncertainty is not None
    as_read = norm.cdf((5_800 - fit.most) / sqrt(500**2 + 2 * 80**2)) - norm.cdf(
        (4_400 - fit.least) / sqrt(500**2 + 2 * 80**2)
    )
    assert fit.probability < as_read - 0.01
    assert bore.probability == pytest.approx(fit.probability, abs=1e-6)
    assert bore.next_reading is not None


def test_few_readings_are_told_at_the_places_read() -> None:
    bore = finished(*READ[:2], windows=(CLEARANCE,))
    assert bore.odds_of == "places read"
    assert bore.probability is not None and bore.whole_probability is not None
    assert bore.whole_probability < bore.probability
    assert bore.next_reading is not None


def test_without_a_zone_nothing_is_said_of_the_whole_bore() -> None:
    bore = finished(*READ, windows=(CLEARANCE,), zone=None)
    assert bore.odds_of == "places read"
    assert (bore.whole_probability, bore.next_reading) == (None, None)


def test_a_stated_allowance_takes_the_place_of_the_model() -> None:
    bore = finished(*READ, windows=(CLEARANCE,), form_allowance=100)
    fit = bore.fits[0]
    expected = norm.cdf((5_800 - fit.most) / sqrt(500**2 + 2 * 80**2)) - norm.cdf(
        (4_400 - fit.least) / sqrt(500**2 + 2 * 80**2)
    )
    assert bore.odds_of == "whole bore"
    assert (fit.beyond_low, fit.beyond_high) == (None, None)
    assert fit.probability == pytest.approx(expected, abs=1e-3)


def test_out_of_round_and_taper_have_a_floor_at_zero() -> None:
    """A round bore under limits far above what a gauge scatters by: nothing is in doubt."""
    alike = tuple((depth, angle, 0) for depth in (1, 2, 3, 4) for angle in (0, 90))
    windows = tuple(Window(fit=fit, low=0, high=4_000) for fit in ("out_of_round", "taper"))
    bore = finished(*alike, windows=windows)
    by_fit = {fit.fit: fit for fit in bore.fits}
    for name in ("out_of_round", "taper"):
        assert by_fit[name].probability == pytest.approx(1, abs=1e-3)
        assert by_fit[name].beyond_high is not None and by_fit[name].beyond_high > 0


@pytest.mark.parametrize(("metal", "least", "most"), [(400, 0.0, 0.9), (2_000, 0.9, 1.0)])
def test_a_cut_takes_every_place_where_it_is_deep_enough(
    metal: int, least: float, most: float
) -> None:
    places = [(depth, angle) for depth in (1, 2, 3, 4) for angle in (0, 90)]
    readings = tuple(
        Reading(depth=depth * MM, angle=angle, size=6_200_700 - metal - 30 * depth)
        for depth, angle in places
    )
    one = small.cylinder(readings=readings, zone=Zone(top=0, bottom=5 * MM))
    gauge = GAUGE.model_copy(update={"repeatability": 80})
    job = small.job(CLEARANCE, cylinders=(one,), measuring=Measuring(instruments=(gauge,)))
    plan = decide(job, small.catalogue()).plan
    assert plan is not None
    (bore,) = plan.cylinders
    assert bore.machined and bore.odds_of == "whole bore"
    assert bore.cut_everywhere is not None
    assert least <= bore.cut_everywhere <= most


def end_gap(*in_hand: InHand) -> Fit:
    """The end gap of a finished bore read with a gauge that is sure to 20 um only."""
    readings = tuple(
        Reading(depth=depth * MM, angle=angle, size=6_200_500 + size) for depth, angle, size in READ
    )
    one = small.cylinder(
        piston_size=6_195_500,
        piston="P",
        readings=readings,
        zone=Zone(top=0, bottom=5 * MM),
        rings=(PinnedRing(groove=1, number="R"),),
    )
    poor = GAUGE.model_copy(update={"repeatability": 80, "standard_uncertainty": 2_000})
    job = small.job(
        CLEARANCE,
        Window(fit="end_gap", low=15_000, high=40_000),
        cylinders=(one,),
        in_hand=in_hand,
        measuring=Measuring(instruments=(poor, MICROMETER)),
        finishing="already finished",
    )
    plan = decide(job, small.catalogue()).plan
    assert plan is not None
    return next(fit for fit in plan.cylinders[0].fits if fit.fit == "end_gap")


def test_a_gap_owes_to_the_gauge_what_the_bores_do_not_share() -> None:
    """Its maker's gap: all of its error. Tried in the bore: none of it. In another bore: what is
    not common to both, the setting and the reading."""
    here, there, makers = (
        end_gap(*in_hand).uncertainty or 0.0
        for in_hand in (
            (InHand(number="R", gap=27_000, gap_bore=6_200_540, cylinder="1"),),
            (InHand(number="R", gap=27_000, gap_bore=6_200_900, cylinder="1"),),
            (),
        )
    )
    assert makers > pi * 2_000
    assert here < there < pi * 2_000 / 2
    assert there**2 - here**2 > (pi * 80) ** 2
