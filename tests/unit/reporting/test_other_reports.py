"""The reports of `bore`, `fits` and `catalogue`."""

from __future__ import annotations

import pytest
from rich.console import RenderableType

from fitsolver.records.words import ON_DIAMETER
from fitsolver.verbs.report import report as report_of

from . import answers
from .answers import flat, mm, shown

MISSED = answers.missing_set()
REPORTS: dict[str, RenderableType] = {
    "forms": report_of(answers.forms(answers.form()), "mm"),
    "forms in": report_of(answers.forms(answers.form()), "in"),
    "fits": report_of(answers.fits_answer(answers.part_set(), MISSED)),
    "fits um": report_of(answers.fits_answer(answers.part_set(), MISSED), "um"),
    "review": report_of(answers.review(), "mm"),
    "review thou": report_of(answers.review(), "thou"),
}


@pytest.mark.parametrize("width", [80, 100])
@pytest.mark.parametrize("name", REPORTS)
def test_nothing_is_cut_short(name: str, width: int) -> None:
    report = shown(REPORTS[name], width)
    assert "…" not in report
    assert max(map(len, report.splitlines())) <= width
    assert flat(REPORTS[name], width).count(ON_DIAMETER) == 1


def test_form_of_a_bore() -> None:
    report = flat(
        report_of(answers.forms(answers.form(), cautions=("Measure at 20 °C.",)), "mm"), 100
    )
    assert "largest 62.268 at depth 8.000, thrust axis (dial +0.018)" in report
    assert "smallest 62.252 at depth 74.000, 45° from the thrust axis" in report
    assert "wear 0.019, from the unworn size of 62.249" in report
    assert "beside a port +0.009 to the largest that decides" in report
    assert "read next at depth 41.000, thrust axis" in report
    assert "readings 10 decide, of 14" in report
    assert "8.000 62.268 62.264 0.004" in report
    assert "pin axis -0.012 0.013" in report
    assert report.endswith("- Measure at 20 °C.")


def test_unknown_wear_and_no_readings() -> None:
    bare = answers.form(reference=None, wear=None, port_excess=None, next_place=None)
    report = flat(report_of(answers.forms(bare), "mm"), 100)
    assert "wear not known: no unworn reading and no unworn size" in report
    assert "0.004 -0.015 - - tapered" in report
    assert "beside a port" not in report
    assert "read next" not in report
    assert "No cylinder of this job has readings." in flat(report_of(answers.forms(), "mm"))


def test_mean_of_repeated_readings_is_said() -> None:
    reading = answers.form().largest_at.model_copy(update={"repeats": (mm("1"), mm("2"))})
    report = flat(report_of(answers.forms(answers.form(largest_at=reading)), "mm"), 100)
    assert "(dial +0.018), mean of 2" in report


def test_part_sets_with_a_verdict_each() -> None:
    report = flat(report_of(answers.fits_answer(answers.part_set(), MISSED)))
    assert "1 of 2 sets fits." in report
    assert "1. kit K-050, piston P-050: fits" in report
    assert "rings R1-050, R2-050" in report
    assert "price 72.00 EUR" in report
    assert "expect clearance: 0.060 to 0.070" in report
    assert "holds clearance by 0.003, compatibility" in report
    assert "2. piston P-025: does not fit" in report
    assert "misses end gap: misses by 0.032 mm" in report
    assert "price cannot be had" in report


def test_first_sets_only() -> None:
    sets = [answers.part_set(), MISSED, MISSED, answers.part_set(cylinder="2")]
    report = flat(report_of(answers.fits_answer(*sets), first=1))
    assert "1 of 3 sets fits." in report
    assert "2 more sets are not shown." in report
    assert "2. " not in report
    assert "Cylinder 2" in report
    assert "not shown" not in flat(report_of(answers.fits_answer(*sets)))


def test_no_sets() -> None:
    assert "There is no part set to look at" in flat(report_of(answers.fits_answer()))


def test_review_of_a_catalogue() -> None:
    report = flat(report_of(answers.review(), "mm"), 100)
    assert "pistons 3 rings 4 gaskets 5 kits 6 routes 7" in report
    assert "0.000 62.000 - 1 2 -" in report
    assert "+0.750 62.750 0.750 2 2 +0.250, +0.500" in report
    assert "serious pistons P-075 skirt: the skirt is larger than its bore" in report
    assert "The maker's sheet outranks it." in report
    clean = answers.review(doubtful=())
    assert "Nothing doubtful was found." in flat(report_of(clean, "mm"))
