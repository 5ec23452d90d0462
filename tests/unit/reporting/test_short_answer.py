"""The short answer: one screen, every figure the plan's, and nothing left unsaid that hurts."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal

import pytest

from fitsolver.base.lengths import Unit
from fitsolver.planning import cautions as said
from fitsolver.planning.standing import STANDING, called_for, in_short
from fitsolver.records.figures import Figures
from fitsolver.records.plan import Answer, CylinderPlan
from fitsolver.records.told import fits_together, names_together
from fitsolver.reporting.attention import attention, is_close
from fitsolver.reporting.bore_rows import Row, alike, bore_table, rows_of
from fitsolver.reporting.sections import Opened
from fitsolver.verbs.registry import registered
from fitsolver.verbs.report import report as report_of
from tests.unit.reporting.demos import PLANNED, picked

from . import answers
from .answers import flat, mm, shown
from .many import drawn_answer
from .paper import paper, read

CLOSED = Opened()
COUNTS = (1, 2, 4, 8, 16)
UNITS: tuple[Unit, ...] = ("mm", "in")
#: Lines of the whole report by default (None: no limit is set).
MOST = {1: 80, 2: 80, 4: 80, 8: 90}


def brief(answer: Answer, unit: Unit, width: int = 80) -> list[str]:
    return shown(report_of(answer, unit, CLOSED), width).splitlines()


def first_screen(lines: list[str]) -> list[str]:
    below = ("NEEDS ATTENTION", "Order list", "Rings", "Cautions")
    ends = (n for n, line in enumerate(lines) if line in below)
    return lines[: next(ends) - 1]


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("odd", [0.0, 0.3, 1.0])
@pytest.mark.parametrize("count", [*COUNTS, 40])
def test_the_answer_is_one_screen(count: int, odd: float, unit: Unit) -> None:
    for seed, order in ((1, 1), (2, 6), (3, 40)):
        answer = drawn_answer(seed, count, odd=odd, lines=order)
        lines = brief(answer, unit)
        screen = first_screen(lines)
        assert len(screen) <= 24, "\n".join(screen)
        assert max(map(len, lines)) <= 80
        assert any(line.startswith("ORDER: ") for line in screen)
        assert any(line.startswith("PROVEN BEST") for line in screen)


def test_no_cylinder_is_parted_where_the_table_is_cut() -> None:
    """Each has two rows, for the two ends of its piston's tolerance."""
    two = [
        answers.unmeasured(
            cylinder=str(n + 1),
            **{
                end: mm("62.49") + 100 * n + more
                for end, more in (("finish_small", 0), ("finish_large", 600), ("lowest", 600))
            },
        )
        for n in range(16)
    ]
    answer = answers.answer(plan=answers.plan(cylinders=tuple(two)), forms=())
    lines = brief(answer, "mm")
    more = next(int(line.split()[0]) for line in lines if line.endswith("--show work"))
    rows = [line for line in lines if "P-050A at" in line]
    assert len(rows) == 2 * (16 - more) > 0


@pytest.mark.parametrize("count", COUNTS)
def test_long_names_leave_it_one_screen(count: int) -> None:
    long = {"job": "a name " * 20, "catalogue": "a shelf " * 15}
    lines = brief(drawn_answer(7, count, lines=5).model_copy(update=long), "mm")
    assert len(first_screen(lines)) <= 24


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("odd", [0.0, 0.3])
@pytest.mark.parametrize("count", MOST)
def test_the_default_report_keeps_its_lines(count: int, odd: float, unit: Unit) -> None:
    for seed in range(4):
        lines = brief(drawn_answer(seed, count, odd=odd), unit)
        assert len(lines) <= MOST[count], "\n".join(lines)


@pytest.mark.parametrize("odd", [0.0, 0.3, 1.0])
@pytest.mark.parametrize("order", [1, 5, 7, 12])
def test_what_to_order_is_in_the_default_report(order: int, odd: float) -> None:
    """Every number with its count, in any way it is told: eight cylinders, 90 lines."""
    answer = drawn_answer(2, 8, odd=odd, lines=order)
    assert answer.plan is not None
    lines = brief(answer, "in")
    assert len(lines) <= MOST[8]
    text = " ".join(" ".join(lines).split())
    for row in answer.plan.order:
        listed = rf"{re.escape(row.number)} +{row.what} +{row.count} "
        assert f"{row.count} x {row.number}" in text or re.search(listed, text)


@pytest.mark.parametrize("count", COUNTS)
def test_it_stays_readable_at_40_columns(count: int) -> None:
    answer = drawn_answer(5, count)
    lines = brief(answer, "mm", 40)
    assert max(map(len, lines)) <= 40
    text = " ".join(" ".join(lines).split())
    assert answer.plan is not None
    rows = alike(rows_of(answer.plan.cylinders, Figures("mm")))
    for row in rows if "cylinders more: --show work" not in text else rows[:1]:
        assert row.cells[4] in text and row.cells[5] in text


@pytest.mark.parametrize("job", PLANNED)
@pytest.mark.parametrize("unit", UNITS)
def test_a_demo_keeps_its_lines(job: str, unit: Unit) -> None:
    lines = brief(picked(job), unit)
    assert len(first_screen(lines)) <= 24
    assert len(lines) <= 80


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("seed", range(6))
def test_every_figure_of_a_row_is_the_plans(seed: int, unit: Unit) -> None:
    """Rounded to the safe side by a code path of its own: `paper`."""
    answer = drawn_answer(seed, 8, odd=0.5)
    assert answer.plan is not None
    rows = alike(rows_of(answer.plan.cylinders, Figures(unit)))
    told = [name for row in rows for name in row.cylinders]
    assert set(told) == {item.cylinder for item in answer.plan.cylinders}
    for item in answer.plan.cylinders:
        mine = [row for row in rows if item.cylinder in row.cylinders]
        ends = wanted(item)
        assert len(mine) == len(ends)
        for row, (size, low, high, zero) in zip(mine, ends, strict=True):
            check_row(row, item, unit, size, low, high, zero)


def wanted(item: CylinderPlan) -> list[tuple[int, int | None, int | None, int | None]]:
    """Finish size, lowest, highest and the gauge's zero, for each end of the piston's tolerance."""
    zero = item.dial_zero
    if item.finish_small == item.finish_large:
        highs = [edge for edge in (item.highest, item.highest_small) if edge is not None]
        own = item.skirt.high if item.skirt.known else None
        return [(item.finish_large, item.lowest, min(highs), zero or own)]
    return [
        (item.finish_small, item.finish_small, item.highest_small, zero or item.skirt.low),
        (item.finish_large, item.lowest, item.highest, zero or item.skirt.high),
    ]


def check_row(
    row: Row, item: CylinderPlan, unit: Unit,
    size: int, low: int | None, high: int | None, zero: int | None,
) -> None:  # fmt: skip
    piston, work, lowest, highest, aim, dial = row.cells
    assert piston.startswith(item.piston.marked) and work == item.route
    assert low is not None and high is not None
    step = 10 ** Decimal(aim).as_tuple().exponent  # type: ignore[operator]
    step = read(str(step), unit)
    assert low <= read(lowest, unit) < low + step
    assert high - step < read(highest, unit) <= high
    assert abs(read(aim, unit) - size) < step
    assert read(lowest, unit) <= read(aim, unit) <= read(highest, unit)
    if zero is None:
        assert dial == "-"
    else:
        assert abs(read(dial, unit) - (size - zero)) < step
        assert low - zero <= read(dial, unit) <= high - zero
    assert row.remove is not None and row.remove[1] >= item.stock_tightest  # type: ignore[operator]
    if item.left_to_limit is not None:
        assert row.left is not None and row.left[0] <= item.left_to_limit


def test_rows_of_one_cylinder_show_its_own_metal() -> None:
    answer = drawn_answer(3, 4)
    assert answer.plan is not None
    text = "\n".join(first_screen(brief(answer, "mm")))
    for item in answer.plan.cylinders:
        assert paper(item.stock_tightest or 0, "mm", "up") in text
        if item.left_to_limit is not None:
            assert paper(item.left_to_limit, "mm", "down") in text


def test_price_days_and_numbers_are_those_of_the_order() -> None:
    answer = drawn_answer(1, 2, lines=3)
    assert answer.plan is not None
    text = " ".join(" ".join(first_screen(brief(answer, "mm"))).split())
    plan = answer.plan
    paid = f"{plan.parts_price / 100:.2f} EUR, with work {plan.price / 100:.2f} EUR"
    assert f"ORDER: {paid}; ready in {plan.days} days" in text
    for line in plan.order:
        assert line.number in text


def conditions(answer: Answer) -> Iterator[tuple[str, str]]:
    """What must be told of an answer: the cylinder (or none) and words of the sentence."""
    assert answer.plan is not None
    for item in answer.plan.cylinders:
        if any(hot.least <= 0 for hot in item.hot):
            yield item.cylinder, "hot, "
        if item.machined and not item.skirt.known:
            waits = answer.finishing == "piston in hand"
            yield item.cylinder, "measure the piston " + ("before" if waits else "when it comes")
        if item.restored:
            yield item.cylinder, "sleeved or re-plated"
        if item.machined and item.dial_zero is None:
            yield item.cylinder, "zero it on the new piston"
        for fit in item.fits:
            if fit.probability is None or fit.uncertainty is None:
                continue
            inside = [slack for slack in (fit.slack_low, fit.slack_high) if slack is not None]
            if fit.probability < 0.95 or any(s + fit.guard < fit.uncertainty for s in inside):
                yield item.cylinder, "likely to be right"
    yield from (("", sentence) for sentence in answer.question.accepted)
    yield from (("", sentence) for sentence in answer.passed_over)
    yield from (("", row.number) for row in answer.left_out)
    for caution in (said.PLATED, said.NO_GUARD, said.KEPT):
        if caution in answer.cautions:
            yield "", caution


@pytest.mark.parametrize("seed", range(30))
def test_nothing_is_absent_when_its_condition_holds(seed: int) -> None:
    answer = drawn_answer(seed, 6, odd=0.6)
    lines = attention(answer, Figures("mm"))
    for cylinder, words in conditions(answer):
        found = [line for line in lines if words in line]
        assert found, words
        assert not cylinder or any(cylinder in names(line) for line in found)
    text = flat(report_of(answer, "mm", CLOSED))
    assert all(" ".join(line.split()) in text for line in lines)


def names(line: str) -> list[str]:
    head = line.partition(":")[0].removeprefix("cylinders ").removeprefix("cylinder ")
    return re.sub(
        r"(\d+) to (\d+)",
        lambda found: ", ".join(map(str, range(int(found[1]), int(found[2]) + 1))),
        head,
    ).split(", ")


@pytest.mark.parametrize("seed", range(10))
def test_what_can_hurt_comes_first(seed: int) -> None:
    answer = drawn_answer(seed, 6, odd=0.8)
    lines = attention(answer, Figures("mm"))
    hurts = [n for n, line in enumerate(lines) if "hot, " in line or line == said.PLATED]
    assert hurts == list(range(len(hurts)))


def test_a_fit_closer_than_its_uncertainty_is_told() -> None:
    surely = answers.fit(uncertainty=400.0, probability=0.99)  # 0.005 inside, known to 0.004
    assert not is_close(surely)
    assert is_close(surely.model_copy(update={"uncertainty": 501.0}))
    assert is_close(surely.model_copy(update={"probability": 0.9}))
    assert not is_close(answers.fit())


#: What must be read of a danger, whether it is told in full or in short.
DANGERS = {
    said.SEIZURE: ("seize", "throw parts", "ring", "piston"),
    said.HONING: ("eye protection", "loose gloves", "spindle", "grit", "hot soapy water", "oil",
                  "olvents burn", "fumes"),
    said.FILING: ("square", "outside in", "burrs"),
    said.SHEETS: ("sheets", "local rules", "qualified", "machinist", "outrank"),
    said.TEMPERATURE: ("20 °C",),
    said.WARM: ("warm", "cool"),
    said.STOP: ("Stop", "stays away"),
}  # fmt: skip


def test_nothing_that_can_hurt_is_lost_in_the_short_words() -> None:
    for caution, words in DANGERS.items():
        for word in words:
            assert word in STANDING[caution] and word in caution, word


@pytest.mark.parametrize("seed", range(10))
def test_every_caution_is_told_in_full_or_in_its_short_words(seed: int) -> None:
    answer = drawn_answer(seed, 4, odd=0.6)
    text = flat(report_of(answer, "mm", CLOSED))
    whole = flat(report_of(answer, "mm"))
    for caution in answer.cautions:
        if caution in STANDING:
            assert STANDING[caution] in text and caution in whole
        else:
            bare = re.sub(r"^Cylinder [^:]+: ", "", caution)
            assert bare in text and bare in whole
    assert set(called_for(answer.cautions)).isdisjoint(STANDING)
    assert in_short(()) == ""


def test_sections_open_by_name_and_what_is_left_out_is_named() -> None:
    answer = picked("pump/job")
    verb = registered("pick")
    closed = brief(answer, "mm")
    assert closed[-1].startswith("More (--show NAME or --full): ")
    for name in verb.all_sections:
        text = shown(report_of(answer, "mm", Opened(frozenset({name}))))
        last = text.splitlines()[-1]
        assert name not in last.partition(": ")[2].split(", ")
    assert "More (--show" not in shown(report_of(answer, "mm"))


def test_names_and_fits_are_told_together() -> None:
    assert names_together(["1", "2", "3", "4", "7"]) == "1 to 4, 7"
    assert names_together(["1", "2", "4"]) == "1, 2, 4"
    assert names_together(["front", "rear"]) == "front, rear"
    assert names_together([]) == ""
    asked = ("clearance", "end gap 1", "end gap 2", "end gap 3", "ring over bore 1", "squish")
    assert fits_together(asked) == "clearance, end gap 1 to 3, ring over bore 1, squish"


def test_the_work_below_the_table_names_cylinders_in_the_order_of_the_job() -> None:
    """Rows alike stand together; below them the cylinders of one work are in order again."""
    plan = drawn_answer(1, 3).plan
    assert plan is not None
    row = rows_of(plan.cylinders[:1], Figures("mm"))[0]
    work = "rough hone, then finish hone"
    cells = (row.cells[0], work, *row.cells[2:])
    rows = [row._replace(cylinders=names, cells=cells) for names in (("1", "3"), ("2",))]
    said = "\n".join(shown(part) for part in bore_table(rows, Figures("mm"), ["1", "2", "3"]))
    assert f"cyl. 1 to 3 {work}" in flat(said)
