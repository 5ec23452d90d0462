"""The report of a plan: every part number and every figure is there, whole, to the safe side."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

import pytest

from fitsolver.base.lengths import Unit
from fitsolver.records.plan import CylinderPlan, Fit
from fitsolver.verbs.report import report as report_of
from tests.unit.reporting.demos import PLANNED, WIDTHS, flowing, picked, planned, written
from tests.unit.reporting.paper import graded, last_digit, paper, read, rows, section

UNITS: Final[tuple[Unit, ...]] = ("mm", "in")
FIT_NAMES: Final = {
    "clearance": "clearance",
    "end_gap": "end gap",
    "ring_seat": "ring over bore",
    "side_clearance": "side clearance",
    "squish": "squish",
    "out_of_round": "out-of-round",
    "taper": "taper",
}
everywhere = pytest.mark.parametrize(
    ("job", "unit", "width"),
    [(job, unit, width) for job in PLANNED for unit in UNITS for width in WIDTHS],
)


def report(job: str, unit: Unit, width: int = 80) -> str:
    return written(report_of(picked(job), unit), width)


def cylinders(job: str, unit: Unit, width: int) -> Iterator[tuple[CylinderPlan, str]]:
    text = report(job, unit, width)
    for plan in planned(job).cylinders:
        yield plan, section(text, heading_of(plan, text))


def heading_of(plan: CylinderPlan, text: str) -> str:
    """The heading under which a cylinder is told, alone or with others."""
    for title in re.findall(r"^Cylinders? .*$", text, re.M):
        names = re.sub(
            r"(\d+) to (\d+)",
            lambda found: ", ".join(map(str, range(int(found[1]), int(found[2]) + 1))),
            title.split(" ", 1)[1],
        )
        if plan.cylinder in names.split(", "):
            return str(title)
    raise AssertionError(f"cylinder {plan.cylinder} is not told")


@everywhere
def test_every_part_is_named_whole(job: str, unit: Unit, width: int) -> None:
    for plan, text in cylinders(job, unit, width):
        parts = [plan.piston, *plan.rings]
        wanted = [plan.route] if plan.machined else ["nothing is cut"]
        wanted += [part.number for part in parts] + [part.piece for part in parts if part.piece]
        wanted += [f"{gasket.count} x {gasket.number}" for gasket in plan.gaskets]
        for words in wanted:
            assert words in text


@everywhere
def test_every_figure_of_a_cylinder_is_there(job: str, unit: Unit, width: int) -> None:
    for plan, text in cylinders(job, unit, width):
        said = flowing(text)
        for words in wanted_figures(plan, unit):
            assert words in said, f"cylinder {plan.cylinder}: {words}\n{text}"


def wanted_figures(plan: CylinderPlan, unit: Unit) -> Iterator[str]:
    """What must be read of a cylinder beside its finish sizes and fits."""

    def near(ticks: int, sign: bool = False) -> str:
        return paper(ticks, unit, "near", sign)

    yield f"oversize {near(plan.oversize, True)}"
    yield f"skirt {graded(plan.skirt.low, plan.skirt.high, unit)}"
    if plan.gauge_height is not None:
        yield f"gauge height {near(plan.gauge_height)}"
    for ring in plan.rings:
        if ring.filing:
            gap = next(f for f in plan.fits if f.fit == "end_gap" and f.groove == ring.groove)
            yield f"{ring.number}: file the gap open to {paper(gap.least, unit, 'up')}"
            yield f"(by {paper(ring.filing, unit, 'up')} at most)"
    if plan.stock_worst is not None and plan.stock_tightest is not None:
        yield f"{paper(plan.stock_worst, unit, 'down')} at the worst reading"
        yield f"{paper(plan.stock_tightest, unit, 'up')} at the tightest"
    if plan.machined:
        yield f"{paper(plan.removal, unit, 'up')} at most"
        yield f"{near(plan.half_width)} either side of the finish"
    yield f"{paper(plan.bore_low, unit, 'down')} to {paper(plan.bore_high, unit, 'up')}"
    for fit in plan.hot:
        groove = "" if fit.groove is None else f", groove {fit.groove}"
        yield f"hot {FIT_NAMES[fit.what]}{groove} {paper(fit.least, unit, 'down')} at least"
    if plan.left_to_limit is not None:
        yield f"left to bore limit {paper(plan.left_to_limit, unit, 'down')}"
    for size in plan.larger_sizes:
        left = paper(size.metal_to_it, unit, "down")
        yield f"left to {near(size.oversize, True)} {left} to its nominal bore of " + near(
            size.nominal_bore
        )


@everywhere
def test_order_list_and_totals_are_whole(job: str, unit: Unit, width: int) -> None:
    text, plan = report(job, unit, width), planned(job)
    ordered = section(text, "Order list")
    for line in plan.order:
        cells = next(cells for cells in rows(ordered, line.number) if line.what in cells[0])
        assert cells[1] == str(line.count)
        assert " ".join(cells[2:-3]) == line.source
        bought = line.source != "in hand"
        money = [f"{line.price_each / 100:.2f}", f"{line.price / 100:.2f}"]
        days = str(line.days) if line.source == "order" else "-"
        assert cells[-3:] == [*(money if bought else ["-", "-"]), days]
    currency = picked(job).currency
    for label, amount in (
        ("parts", plan.parts_price),
        ("work", plan.route_price),
        ("together", plan.price),
    ):
        assert rows(ordered, label) == [[f"{amount / 100:.2f}", currency]]
    ready, when = ("ready in", str(plan.days)) if plan.days else ("ready", "at")
    assert rows(ordered, ready)[0][0] == when


@everywhere
def test_finish_sizes_and_dial_are_on_the_safe_side(job: str, unit: Unit, width: int) -> None:
    for plan, text in cylinders(job, unit, width):
        if not plan.machined:
            assert "finish size" not in text
            continue
        ends = [(plan.finish_large, plan.lowest, plan.highest, plan.skirt.high)]
        if plan.finish_small != plan.finish_large:
            small = plan.finish_small
            ends = [(small, small, plan.highest_small, plan.skirt.low), *ends]
        zeros = {"finish size": [0] * len(ends)}
        if plan.dial_zero is not None:
            on = "a piston of " if plan.dial_zero_on_piston else ""
            label = f"dial, gauge zeroed on {on}{graded(plan.dial_zero, plan.dial_zero, unit)}"
            zeros[label] = [plan.dial_zero] * len(ends)
        if plan.skirt.known or len(ends) > 1:
            zeros["dial, gauge zeroed on the new piston"] = [end[3] for end in ends]
        else:
            lowest, highest = plan.dial_on_piston.low, plan.dial_on_piston.high
            dial = f"{paper(lowest, unit, 'down', True)} to {paper(highest, unit, 'up', True)}"
            assert paper(lowest, unit, "down", True) in text and dial.split()[2] in text
        for label, of_ends in zeros.items():
            found = rows(text, label)
            assert len(found) == len(ends)
            for cells, (size, low, high, _), zero in zip(found, ends, of_ends, strict=True):
                check_permitted(cells, unit, size - zero, low, high, zero)


def check_permitted(
    cells: list[str], unit: Unit, size: int, low: int | None, high: int | None, zero: int
) -> None:
    lowest, highest, aim = cells
    step = last_digit(aim, unit)
    if low is None:
        assert lowest == "-"
    else:
        assert 0 <= read(lowest, unit) - (low - zero) < step
        assert read(aim, unit) >= read(lowest, unit)
    if high is None:
        assert highest == "-"
    else:
        assert 0 <= (high - zero) - read(highest, unit) < step
        assert read(aim, unit) <= read(highest, unit)
    assert abs(read(aim, unit) - size) < step
    if zero:
        assert all(cell[0] in "+-0" for cell in cells)


@everywhere
def test_fits_are_rounded_to_the_safe_side(job: str, unit: Unit, width: int) -> None:
    for plan, text in cylinders(job, unit, width):
        for fit in plan.fits:
            label = FIT_NAMES[fit.fit] + ("" if fit.groove is None else f" {fit.groove}")
            found = [cells for cells in rows(text, label) if len(cells) == 7]
            assert len(found) == 1, f"{label} in\n{text}"
            check_fit(fit, found[0], unit)
            notes = [" ".join(cells) for cells in rows(text, found[0][-1])]
            if found[0][-1] != "-":
                assert any(fit.source in note for note in notes)


def check_fit(fit: Fit, cells: list[str], unit: Unit) -> None:
    """Window never looser, slack never larger, values never narrower but for an edge they keep."""
    low, high, least, most, below, above = cells[:6]
    step = last_digit(least, unit)
    for cell, ticks, side in (
        (low, fit.low, 1),
        (high, fit.high, -1),
        (below, fit.slack_low, -1),
        (above, fit.slack_high, -1),
    ):
        if ticks is None:
            assert cell == "-"
        else:
            assert 0 <= side * (read(cell, unit) - ticks) < step
    # A value at the edge that its guard leaves is shown there: edge and guard each within a step.
    assert abs(read(least, unit) - fit.least) < (
        step if read(least, unit) <= fit.least else 2 * step
    )
    assert abs(read(most, unit) - fit.most) < (step if read(most, unit) >= fit.most else 2 * step)
    if fit.slack_low is not None and fit.slack_low >= 0:
        assert read(least, unit) >= read(low, unit) + fit.guard
    if fit.slack_high is not None and fit.slack_high >= 0:
        assert read(most, unit) <= read(high, unit) - fit.guard
    clamped = 2 * step
    if read(least, unit) > fit.least:
        assert fit.low is not None and read(least, unit) - read(low, unit) - fit.guard < clamped
    if read(most, unit) < fit.most:
        assert fit.high is not None and read(high, unit) - fit.guard - read(most, unit) < clamped


@everywhere
def test_form_found_is_whole(job: str, unit: Unit, width: int) -> None:
    text = section(report(job, unit, width), "Form found")
    for form in picked(job).forms:
        wear = "-" if form.wear is None else paper(form.wear, unit, "near")
        cells = [
            paper(form.largest, unit, "near"),
            paper(form.smallest, unit, "near"),
            paper(form.out_of_round, unit, "up"),
            paper(form.taper, unit, "near", True),
            wear,
        ]
        assert any(found[:5] == cells for found in rows(text, form.cylinder))


@everywhere
def test_no_line_is_wider_than_the_page_or_ends_in_blanks(job: str, unit: Unit, width: int) -> None:
    for line in report(job, unit, width).splitlines():
        assert len(line) <= width
        assert line == line.rstrip()
        assert "…" not in line


def test_the_decision_shows_every_level() -> None:
    text = section(report("pump/job", "mm"), "What it goes by, what matters most first")
    assert rows(text, "largest removal") == [["0.252", "mm"]]
    objective = {level.level: level.value for level in planned("pump/job").objective}
    assert rows(text, "total removal") == [[paper(objective["total_removal"], "mm", "up"), "mm"]]
    assert rows(text, "filing of all rings") == [[paper(objective["filing"], "mm", "up"), "mm"]]
    assert rows(text, "price") == [[f"{objective['price'] / 100:.2f}", "EUR"]]
    assert rows(text, "sleeved or re-plated cylinders") == [["0"]]
    assert rows(text, "days") == [[str(objective["days"])]]
    assert rows(text, "part numbers, lowest first") == [["settled"]]


def test_the_masses_are_never_shown_closer_than_they_are() -> None:
    plan = planned("pump/job").model_copy(update={"mass_spreads": (1_610, 2_000)})
    text = written(report_of(picked("pump/job").model_copy(update={"plan": plan})))
    assert [cells[0] for cells in rows(text, "pistons differ by")] == ["1.7", "2.0"]
