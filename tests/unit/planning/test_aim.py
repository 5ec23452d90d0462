"""Where else to aim: what is foretold is what a plan with that aim comes to."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path

import pytest
from scipy.stats import norm

from fitsolver.base.errors import InputError
from fitsolver.picking.decide import decide
from fitsolver.planning.aim import SURE
from fitsolver.reading.job_file import job_of
from fitsolver.records.job import Job
from fitsolver.records.measuring import Instrument, Measuring
from fitsolver.records.plan import Aim, CylinderPlan
from fitsolver.records.windows import Window
from tests.unit.rules import small

U = 200


def bored(u: int = U) -> Measuring:
    gauge = Instrument(kind="bore gauge", standard_uncertainty=u)
    return Measuring(
        instruments=(gauge, Instrument(kind="outside micrometer", standard_uncertainty=0))
    )


def planned(high: int | None, *, u: int = U, aim: int = 0, low: int = 5_500) -> CylinderPlan:
    window = Window(fit="clearance", low=low, high=high, aim=aim)
    plan = decide(small.job(window, measuring=bored(u)), small.catalogue()).plan
    assert plan is not None
    (found,) = plan.cylinders
    return found


@pytest.mark.parametrize("high", [6_400, 6_800, 7_500, None])
def test_a_plan_with_the_aim_is_what_was_foretold(high: int | None) -> None:
    least = planned(high)
    surer = least.surer
    assert surer is not None and surer.more % 100 == 0
    aimed = planned(high, aim=surer.aim)
    assert aimed.finish_large == least.finish_large + surer.more
    assert aimed.probability == pytest.approx(surer.probability, abs=1e-9)
    assert aimed.probability is not None and least.probability is not None
    assert aimed.probability > least.probability


def test_it_is_the_least_that_makes_every_fit_so_likely() -> None:
    """Open above: 1.645 standard uncertainties inside, in whole micrometres."""
    least = planned(None)
    needed = norm.ppf(SURE) * U
    surer = least.surer
    assert surer is not None
    inside = surer.aim
    assert inside - 100 < needed <= inside
    assert surer.probability == pytest.approx(norm.cdf(inside / U), abs=1e-6)


def test_where_no_aim_is_likely_enough_the_middle_is_named() -> None:
    least = planned(6_400)  # 0.009 wide, of which the hone takes its own
    assert least.surer is not None and least.surer.probability < SURE
    fit = least.fits[0]
    assert fit.slack_low is not None and fit.slack_high is not None
    room_below, room_above = fit.slack_low + least.surer.more, fit.slack_high - least.surer.more
    assert abs(room_below - room_above) <= 200


@pytest.mark.parametrize("u", [10, 1])
def test_no_aim_where_the_hone_is_the_limit(u: int) -> None:
    """Far inside already: the finish is the least that cleans up."""
    assert planned(9_000, u=u, low=3_000).surer is None


def test_without_a_lowest_clearance_there_is_nothing_to_aim_above() -> None:
    window = Window(fit="clearance", high=6_400)
    plan = decide(small.job(window, measuring=bored()), small.catalogue()).plan
    assert plan is not None and plan.cylinders[0].surer is None


def test_an_aim_leaves_finished_bores_to_the_window() -> None:
    window = Window(fit="clearance", low=5_500, high=7_500, guard=30, aim=400)
    assert window.limits(0) == (5_900, 7_470)
    assert window.limits(0, as_is=True) == (5_530, 7_470)


@pytest.mark.parametrize("window", ['fit = "clearance"\nhigh = 0.06', 'fit = "end_gap"\nlow = 0.2'])
def test_an_aim_belongs_to_a_lowest_clearance(window: str) -> None:
    with pytest.raises(InputError, match="an aim is counted from the lowest clearance"):
        read(window)


def test_an_aim_is_read() -> None:
    assert read('fit = "clearance"\nlow = 0.04').windows[0].aim == 500


def read(window: str) -> Job:
    text = f"""
        format = 1
        name = "aimed"
        units = "mm"
        [[window]]
        {window}
        aim = "5 um"
        [[cylinder]]
        name = "1"
        material = "iron"
        readings = [[10, "thrust", 62.0], [10, "pin", 62.0]]
    """
    return job_of(tomllib.loads(text, parse_float=Decimal), Path("aimed.toml"), None)


def test_an_aim_that_leaves_no_room_is_named_and_no_part_is_blamed() -> None:
    window = Window(fit="clearance", low=5_500, high=6_400, aim=800)
    answer = decide(small.job(window, measuring=bored()), small.catalogue())
    assert answer.no_fit is not None
    assert answer.no_fit.ways_left[0].startswith("the aim, not the part, is what fails")
    assert "0.008 mm above the lowest clearance is the aim" in answer.no_fit.reasons[0].sentence
    narrow = window.model_copy(update={"high": 5_600})  # nothing fits without it either
    again = decide(small.job(narrow, measuring=bored()), small.catalogue()).no_fit
    assert again is not None and "aim" not in " ".join(again.ways_left)


def test_the_record_is_in_the_document() -> None:
    surer = planned(7_500).surer
    assert surer is not None
    assert Aim.model_validate_json(surer.model_dump_json()) == surer
