"""The report of `pick`: what a person orders, machines and checks by."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from fitsolver.base.lengths import Unit
from fitsolver.records.budget import Correction
from fitsolver.records.plan import Answer
from fitsolver.records.words import ON_DIAMETER
from fitsolver.verbs.report import report as report_of

from . import answers
from .answers import flat, mm, shown
from .paper import read

WIDTHS = (80, 100)
ANSWERS = {
    "measured": answers.answer(),
    "unmeasured": answers.answer(plan=answers.plan(cylinders=(answers.unmeasured(),))),
    "as is": answers.answer(plan=answers.plan(cylinders=(answers.as_is(),))),
    "set size": answers.answer(
        finishing="set size",
        plan=answers.plan(
            cylinders=(
                answers.cylinder(
                    skirt=answers.span("62.430", "62.436"),
                    dial_on_piston=answers.span("0.0652", "0.0712"),
                ),
            )
        ),
    ),
    "two cylinders": answers.answer(
        plan=answers.plan(cylinders=(answers.cylinder(), answers.unmeasured(cylinder="2")))
    ),
    "nothing fits": answers.nothing_fits(),
    "undecided": answers.answer(status="undecided", plan=None),
}


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("unit", ["mm", "um", "in", "thou"])
@pytest.mark.parametrize("name", ANSWERS)
def test_nothing_is_cut_short(name: str, unit: Unit, width: int) -> None:
    report = shown(report_of(ANSWERS[name], unit), width)
    assert "…" not in report
    assert max(map(len, report.splitlines())) <= width
    assert flat(report_of(ANSWERS[name], unit), width).count(ON_DIAMETER) == 1


@pytest.mark.parametrize("unit", ["mm", "um", "in", "thou"])
@pytest.mark.parametrize("name", ANSWERS)
def test_same_words_at_every_width(name: str, unit: Unit) -> None:
    """No figure and no part number is broken: 80 columns hold the words that 200 hold."""
    narrow, wide = (words(report_of(ANSWERS[name], unit), width) for width in (80, 200))
    assert narrow == wide


def words(report: object, width: int) -> list[str]:
    text = shown(report, width)  # type: ignore[arg-type]
    return sorted(word for word in text.split() if re.search(r"\d", word))


def test_colour_is_an_extra() -> None:
    bare = answers.plan(cylinders=(answers.cylinder(left_to_limit=None),))  # no bar of what is left
    plain = shown(report_of(answers.answer(plan=bare)))
    coloured = shown(report_of(answers.answer(plan=bare)), colour=True)
    assert "\x1b[" not in plain
    assert "\x1b[" in coloured
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == plain


def test_order_list() -> None:
    report = flat(report_of(answers.answer()))
    assert "number what count from each price days" in report
    assert "K-050 kit 1 order 72.00 72.00 6" in report
    assert "P-050 piston 1 in hand - - -" in report
    assert "R1-050 ring 3 stock 9.90 29.70 -" in report
    assert "parts 101.70 EUR work 30.00 EUR together 131.70 EUR ready in 8 days" in report
    assert "displacement 355.96 cm3" in report
    assert "pistons differ by 1.7 g at most" in report
    assert "displacement 21.73 in3" in flat(report_of(answers.answer(), "in"))


def test_measured_piston_has_one_finish_size() -> None:
    report = flat(report_of(answers.answer()))
    assert "to do finish hone" in report
    assert "P-050 (piece 1): oversize +0.500, skirt 62.440 measured at gauge height 11.000" in (
        report
    )
    assert "ring, groove 1 R1-050: file the gap open to 0.250 (by 0.038 at most)" in report
    assert "ring, groove 2 R2-050: no filing" in report
    assert "gasket, base 2 x B-025" in report
    # lowest up, highest down, aim never under the lowest
    assert "finish size 62.502 62.509 62.502" in report
    assert "dial, gauge zeroed on 62.250 +0.252 +0.259 +0.252" in report
    assert "dial, gauge zeroed on the new piston +0.062 +0.069 +0.062" in report
    assert "Measure the piston first" not in report


def test_gauge_zeroed_on_a_piston_is_said() -> None:
    item = answers.cylinder(dial_zero=mm("62.176"), dial_zero_on_piston=True)
    report = flat(report_of(answers.answer(plan=answers.plan(cylinders=(item,)))))
    assert "dial, gauge zeroed on a piston of 62.176 +0.326 +0.333 +0.326" in report


def test_unmeasured_piston_has_two_finish_sizes() -> None:
    report = flat(report_of(ANSWERS["unmeasured"]))
    small = report.index("smallest piston, 62.430")
    large = report.index("largest piston, 62.436")
    assert "finish size 62.495 62.503 62.495" in report[small:large]
    assert "dial, gauge zeroed on 62.250 +0.245 +0.253 +0.245" in report[small:large]
    assert "finish size 62.501 62.503 62.501" in report[large:]
    assert "gauge zeroed on the new piston +0.065 +0.067 +0.065" in report[large:]
    assert "Measure the piston first" in report


def test_set_size_shows_the_dial_over_the_pistons_tolerance() -> None:
    report = flat(report_of(ANSWERS["set size"]))
    assert "finish size 62.502 62.509 62.502" in report
    assert "gauge zeroed on the new piston - - +0.065 to +0.072" in report


def test_left_as_it_is() -> None:
    report = flat(report_of(ANSWERS["as is"]))
    assert "nothing is cut: the bore stays as it is" in report
    assert "bore 62.501 to 62.506 (local sizes)" in report
    assert "dial +0.061 to +0.066, gauge zeroed on the new piston" in report
    assert "finish size" not in report
    assert "metal to remove" not in report


def test_restored_bore_is_said() -> None:
    item = answers.cylinder(route="new liner", restored=True)
    report = flat(report_of(answers.answer(plan=answers.plan(cylinders=(item,)))))
    assert "new liner (the bore is sleeved or re-plated)" in report


def test_stock_and_what_is_left() -> None:
    report = flat(report_of(answers.answer()))
    assert "metal to remove 0.233 at the worst reading, 0.240 at the tightest" in report
    assert "removal 0.240 at most" in report
    assert "bore afterwards 62.497 to 62.506 (local sizes, 0.004 either side" in report
    assert "left to bore limit 0.594" in report
    assert "left to +0.750 0.248 to its nominal bore of 62.750" in report
    assert "left to +1.500 0.998 to its nominal bore of 63.500, beyond the bore limit" in report
    assert "larger sizes left 1 that a later rebuild can use" in report


def test_fits_with_window_expected_slack_and_source() -> None:
    report = flat(report_of(answers.answer()))
    assert "clearance 0.055 0.085 0.060 0.070 0.003 0.013 a" in report
    assert "end gap 1 0.250 0.400 0.250 0.391 0.000 0.009 b filed 0.038" in report
    assert "a invented sheet, section 3; measuring allowance 0.002 on each side" in report
    assert "b invented sheet, section 4" in report
    assert "MISSED" not in report


def test_a_fit_without_a_window_says_that_nothing_was_asked() -> None:
    bare = answers.fit(low=None, high=None, guard=0, slack_low=None, slack_high=None, source="")
    item = answers.cylinder(fits=(bare,))
    report = flat(report_of(answers.answer(plan=answers.plan(cylinders=(item,)))))
    assert "clearance - - 0.060 0.070 - - a" in report
    assert "a no window given: nothing was asked" in report


def test_kept_parts_say_which_limit_holds() -> None:
    item = answers.cylinder(fits=(answers.fit(service=True),))
    report = flat(report_of(answers.answer(plan=answers.plan(cylinders=(item,)))))
    assert "measuring allowance 0.002 on each side; limit for kept parts" in report


def test_hot_fits() -> None:
    cold = answers.cylinder(hot=(answers.HotFit(what="end_gap", groove=2, least=-1),))
    report = flat(report_of(answers.answer()))
    assert "hot clearance 0.008 at least" in report
    assert "hot end gap, groove 1 0.187 at least" in report
    assert "NOT POSITIVE" not in report
    report = flat(report_of(answers.answer(plan=answers.plan(cylinders=(cold,)))))
    assert "hot end gap, groove 2 -0.001 at least NOT POSITIVE, see the cautions" in report


def test_odds_and_corrections_only_where_the_job_tells_how_it_was_measured() -> None:
    report = flat(report_of(answers.answer()))
    assert "all fits in their windows" not in report
    assert "Corrected to 20 °C" not in report
    item = answers.cylinder(probability=0.99891)
    said = Correction(cylinder="1", what="bore", correction=-1200, sentence="bore 1: less 0.012 mm")
    measured = answers.answer(
        plan=answers.plan(cylinders=(item,), probability=0.98), corrections=(said,)
    )
    report = flat(report_of(measured))
    assert "all fits in their windows: 98.0 % likely" in report[: report.index("Cylinder 1")]
    assert "all fits in their windows 99.8 % likely" in report[report.index("Cylinder 1") :]
    assert "Corrected to 20 °C ------------------ - cylinder 1: bore 1: less 0.012 mm" in report


def test_proven_best_is_said_only_when_proven() -> None:
    report = flat(report_of(answers.answer()))
    assert "PROVEN BEST" in report
    assert "largest removal 0.240 mm total removal 0.240 mm filing of all rings 0.038 mm" in report
    assert "price 131.50 EUR days 8 part numbers, lowest first settled" in report
    bounds = {"total_removal": mm("0.2301"), "price": 9_000, "part_number": 0}
    unproven = answers.answer(
        status="best found", plan=answers.plan(objective=answers.levels(**bounds))
    )
    report = flat(report_of(unproven))
    assert "BEST FOUND in the time given, not proven best" in report
    assert "PROVEN BEST" not in report
    assert "largest removal 0.240 mm 0.239 mm yes" in report
    assert "total removal 0.240 mm 0.230 mm no" in report
    assert "price 131.50 EUR 90.00 EUR no" in report
    assert "part numbers, lowest first open - no" in report


def test_form_found() -> None:
    report = flat(report_of(answers.answer()))
    row = "1 62.268 62.252 0.004 -0.015 0.019 +0.009 tapered, wide at the bottom"
    assert row in flat(report_of(answers.answer()), 100)
    assert "Form found" in report


def test_nothing_fits() -> None:
    report = flat(report_of(answers.nothing_fits()))
    assert "NOTHING FITS" in report
    first = report.index("Cylinder 1: why nothing fits")
    job = report.index("Why nothing fits them together")
    assert "clean-up: short by 0.130 mm" in report[first:job]
    assert "bore limit: at most 62.600 mm" in report[first:job]
    assert "mass match: differs by 3.1 g, permitted 2 g" in report[job:]
    assert "cylinder 1: P-050, finish hone: short by 0.130 mm" in report
    assert "sleeving or re-plating the bore ('new liner') is the way left" in report
    none = answers.nothing_fits(no_fit=answers.NoFit(reasons=()))
    assert "None was found in this job and this catalogue." in flat(report_of(none))


def test_undecided() -> None:
    report = flat(report_of(ANSWERS["undecided"]))
    assert "UNDECIDED" in report
    assert "Order list" not in report


def test_texts_from_files_are_shown_as_they_stand() -> None:
    """No markup is obeyed, nothing moves the cursor, and long names are folded, not cut."""
    long = "X" * 150
    odd = answers.answer(
        job="[red]pump[/red]",
        plan=answers.plan(order=(answers.line("[bold]R[/]\x1b[2J"), answers.line(long))),
    )
    report = shown(report_of(odd))
    assert "[red]pump[/red]" in report
    assert "[bold]R[/]·[2J" in report
    assert "\x1b" not in report
    assert report.count("X") == 2 * 150  # in the answer, and in the order list
    assert max(map(len, report.splitlines())) <= 80


def test_both_unit_systems_say_the_same_size() -> None:
    def aim(answer: Answer, unit: Unit) -> Fraction:
        found = re.search(r"finish size \S+ \S+ (\S+)", flat(report_of(answer, unit)))
        assert found is not None
        return read(found[1], unit)

    size = mm("62.5012")
    steps: dict[Unit, int] = {"mm": 100, "um": 10, "in": 127, "thou": 127}  # ticks
    for unit, step in steps.items():
        assert size <= aim(answers.answer(), unit) <= size + step
