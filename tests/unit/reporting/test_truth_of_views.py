"""What stands on the first screen of each report is its record's, and what matters is not absent.

Figures are rounded by a code path of their own: `paper`.
"""

from __future__ import annotations

import math
import re

import pytest

from fitsolver.base.lengths import Unit
from fitsolver.records.figures import Figures
from fitsolver.reporting.sections import Opened
from fitsolver.reporting.targets import sizes, targets
from fitsolver.verbs.report import report as report_of

from . import drawn_views as drawn
from .answers import flat, shown
from .many import drawn_answer
from .paper import PLACES, TICKS, paper, read
from .test_screens import VIEWS

CLOSED = Opened()
COUNTS = (1, 2, 4, 8, 16)
UNITS: tuple[Unit, ...] = ("mm", "in")


def small(ticks: float, unit: Unit, up: bool) -> str:
    """A margin or an uncertainty: 0.01 µm or 0.001 thousandths, rounded to a side."""
    fine, places = ("thou", 3) if unit == "in" else ("um", 2)
    steps = ticks / TICKS[fine] * 10**places  # type: ignore[index]
    whole = math.ceil(round(steps, 6)) if up else math.floor(round(steps, 6))
    return f"{whole / 10**places:.{places}f}"


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("count", COUNTS)
def test_firm_tells_the_least_margin_and_every_piece_to_measure_again(
    count: int, unit: Unit
) -> None:
    answer = drawn.firm(count)
    text = flat(report_of(answer, unit, CLOSED))
    least = min(item.margin for item in answer.margins if item.margin is not None)
    _, _, soonest = text.partition("What changes the pick soonest")
    assert f" {small(least, unit, up=False)} " in soonest
    again = [item for item in answer.margins if item.measure_again]
    assert ("Measure this again before ordering" in text) == bool(again)
    for smaller, way in ((False, "more"), (True, "less")):
        of_way = [item.margin or 0 for item in again if item.smaller == smaller]
        if of_way:
            assert f"{small(min(of_way), unit, up=False)} " in text.split("soonest")[0]
            assert f"{way} changes the pick" in text
            assert f"known to {small(200.0, unit, up=True)} " in text


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("count", COUNTS)
def test_alternatives_tell_what_each_plan_comes_to(count: int, unit: Unit) -> None:
    answer = drawn.alternatives(count)
    report = shown(report_of(answer, unit, CLOSED))
    for plan in answer.plans:
        totals = plan.totals if plan.rank == 1 else plan.against_best
        rows = [line.split() for line in report.splitlines() if line.startswith(f"  {plan.rank} ")]
        cells = next(row for row in rows if len(row) > 8)
        [largest] = cells[-8:-7]
        assert largest == paper(totals.largest_removal, unit, "up", sign=plan.rank > 1)
        assert abs(float(cells[-5])) == abs(totals.price) / 100
        assert int(cells[-4]) == totals.days


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("count", COUNTS)
def test_a_budget_tells_the_largest_uncertainty_of_each_fit(count: int, unit: Unit) -> None:
    answer = drawn.budget(count)
    report = shown(report_of(answer, unit, CLOSED))
    for groove in (1, 2, 3):
        of_fit = [item for item in answer.budgets if item.groove == groove]
        largest = max(item.combined for item in of_fit)
        [row] = [line.split() for line in report.splitlines() if f"  end gap {groove} " in line][:1]
        assert small(largest, unit, up=True) in row
        assert small(2 * largest, unit, up=True) in row
    worst = max(item.consumer for item in answer.batch)
    assert f"{math.ceil(round(worst * 10_000, 6)) / 100:.2f}%" in report


@pytest.mark.parametrize("count", COUNTS)
def test_a_final_check_names_every_cylinder_and_every_fit_that_fails(count: int) -> None:
    answer = drawn.final(count)
    text = flat(report_of(answer, "mm", CLOSED))
    assert text.partition(" on diameter ")[2].startswith(answer.verdict.upper())
    for item in answer.cylinders:
        for fit in item.fits:
            if not fit.holds:
                assert f"end gap {fit.groove}" in text
    whole = flat(report_of(answer, "mm"))
    for item in answer.cylinders:
        verdict = "FAIL" if item.verdict == "fail" else item.verdict
        assert f"Cylinder {item.cylinder}: {verdict}" in whole
    if count > 2:
        worst = {
            fit.groove: max(
                -(other.slack_low or 0)
                for each in answer.cylinders
                for other in each.fits
                if not other.holds and other.groove == fit.groove
            )
            for each in answer.cylinders
            for fit in each.fits
            if not fit.holds
        }
        for groove, by in worst.items():
            assert f"{paper(by, 'mm', 'up')} too small" in text, groove


@pytest.mark.parametrize("count", COUNTS)
def test_what_arrived_tells_what_to_order_again_and_the_plan(count: int) -> None:
    answer = drawn.arrived(count)
    screen = " ".join(shown(report_of(answer, "mm", CLOSED)).splitlines()[:24])
    for line in answer.again:
        assert f"{line.count} x {line.number}" in screen
    for item in answer.left_over:
        assert f"{item.count} x {item.number}" in screen
    assert answer.plan is not None
    assert f"ORDER: {answer.plan.parts_price / 100:.2f} EUR" in screen
    assert paper(answer.plan.cylinders[0].finish_large, "mm", "up") in screen


@pytest.mark.parametrize("count", COUNTS)
def test_an_allotment_counts_its_jobs(count: int) -> None:
    answer = drawn.allot(count)
    text = flat(report_of(answer, "mm", CLOSED))
    served = sum(item.status == "served" for item in answer.jobs)
    left = sum(item.status == "left out" for item in answer.jobs)
    never = len(answer.jobs) - served - left
    assert f"served {served} of {len(answer.jobs)} jobs" in text
    assert (f"{left} left out" in text) == bool(left)
    assert (f"{never} can never be served" in text) == bool(never)
    paid = sum(line.price for line in answer.order)
    assert f"ORDER: {paid / 100:.2f} EUR" in text
    whole = flat(report_of(answer, "mm"))
    assert all(f"- {item.job}: " in whole for item in answer.jobs if item.status != "served")


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("count", COUNTS)
def test_the_line_at_the_hone_is_safe(count: int, unit: Unit) -> None:
    """What is left is no more than it is; where to stop lies within what is permitted."""
    answer = drawn.hone(count)
    report = shown(report_of(answer, unit, CLOSED))
    lines = [line for line in report.splitlines() if line.startswith("CYL. ")]
    assert len(lines) == count
    step = 10 ** -PLACES[unit]
    for line, state in zip(lines, answer.cylinders, strict=True):
        left = line.partition("LEFT ")[2].split()[0]
        metal = state.now.stock_tightest / TICKS[unit]
        assert left == "none" if metal <= 0 else metal - step < float(left) <= metal
        size, dial = line.rpartition("STOP ")[2].split(", dial ")
        assert state.lowest <= float(size) * TICKS[unit] + 1e-6
        assert float(size) * TICKS[unit] <= state.highest + 1e-6
        assert state.dial_stop is not None
        zero = state.stop.high - state.dial_stop.high
        reads = zero + float(dial) * TICKS[unit]
        assert state.lowest <= reads + 1e-6 and reads <= state.highest + 1e-6
    for state in answer.cylinders:
        if state.question:
            assert state.question in flat(report_of(answer, unit, CLOSED))


DECIMALS = re.compile(r"(?<![\w.])[+-]?\d+\.(\d+)(?![\w.])")


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("name", (*VIEWS, "pick"))
def test_no_figure_has_more_digits_than_a_shop_reads(name: str, unit: Unit) -> None:
    """0.001 mm, 0.0001 in; one more only for a grade, or for half a tenth of a thousandth."""
    answer = drawn_answer(4, 4, odd=0.5) if name == "pick" else VIEWS[name](4)
    if name in ("fits", "why", "why nothing fits", "allot"):  # sentences are written in mm
        unit = "mm"
    for found in DECIMALS.finditer(shown(report_of(answer, unit))):
        digits = found[1]
        most = PLACES[unit]
        half = unit == "in" and len(digits) == most + 1 and digits[-1] in "05"
        grade = unit == "mm" and len(digits) == most + 1
        assert len(digits) <= most or half or grade, found[0]


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("unit", UNITS)
def test_the_dial_stops_where_the_size_says(seed: int, unit: Unit) -> None:
    """Shown dial and shown size agree to the last digit where the zero is a whole number of them;
    read from the exact zero the dial is never looser than the plan."""
    answer = drawn_answer(seed, 8, odd=0.5)
    assert answer.plan is not None
    for item in answer.plan.cylinders:
        for target in targets(item):
            zero = item.dial_zero if item.dial_zero is not None else target.skirt
            if not item.machined or zero is None:
                continue
            size, dial = (sizes(target, each, Figures(unit))[2] for each in (0, zero))
            step = TICKS[unit] // 10 ** PLACES[unit]
            if zero % step == 0:
                assert read(size, unit) - zero == read(dial, unit)
            if target.lowest is not None and target.highest is not None:
                assert target.lowest <= zero + read(dial, unit) <= target.highest
