"""Reports of the other verbs: cylinders that are alike are told together, details by name."""

from __future__ import annotations

import pytest

from fitsolver.base.lengths import Unit
from fitsolver.records.alternatives import Alternative, AlternativesAnswer, Change, Totals
from fitsolver.records.firm import FirmAnswer, Margin, Picked
from fitsolver.records.ladder import CylinderLadder, LadderAnswer, Rung
from fitsolver.records.why import ChoiceReason, WhyAnswer
from fitsolver.reporting.sections import Opened
from fitsolver.verbs.report import report as report_of

from . import answers
from .answers import flat, mm, shown

HEAD = {"program_version": "0", "job": "invented", "catalogue": "shelf", "unit": "mm"}
COUNTS = (1, 2, 4, 8, 16)
UNITS: tuple[Unit, ...] = ("mm", "in")
CLOSED = Opened()


def cylinders(count: int) -> list[str]:
    return [str(number + 1) for number in range(count)]


def fits(count: int) -> object:
    sets = [
        each.model_copy(update={"cylinder": name})
        for name in cylinders(count)
        for each in (answers.part_set(), *[answers.missing_set()] * 30)
    ]
    return answers.fits_answer(*sets)


def firm(count: int) -> FirmAnswer:
    picked = [
        Picked(cylinder=name, piston="P", rings=("R",), route="hone") for name in cylinders(count)
    ]
    then = tuple(item.model_copy(update={"piston": "Q"}) for item in picked)
    margins = [
        Margin(
            what="largest reading", cylinders=(name,), value=mm("62.3"), margin=100 * (smaller + 1),
            reach=9_000, becomes=then, smaller=smaller,
        )
        for name in cylinders(count)
        for smaller in (False, True)
    ]  # fmt: skip
    margins += [
        Margin(
            what="lowest edge", cylinders=(name,), fit="end_gap", groove=groove, value=mm("0.25"),
            margin=500 * groove, reach=9_000, becomes=then,
        )
        for name in cylinders(count)
        for groove in (1, 2, 3)
    ]  # fmt: skip
    return FirmAnswer(**HEAD, status="proven best", picked=tuple(picked), margins=tuple(margins))


def why(count: int) -> WhyAnswer:
    choices = [
        ChoiceReason(cylinder=name, subject="ring", sentence=f"groove {groove}: no other ring")
        for name in cylinders(count)
        for groove in (1, 2, 3)
    ]
    return WhyAnswer(**HEAD, currency="EUR", status="proven best", choices=tuple(choices))


def ladder(count: int) -> LadderAnswer:
    rungs = tuple(
        Rung(oversize=n * 25_000, nominal_bore=mm("62") + n * 25_000, chosen=n == 1, piston="P")
        for n in range(6)
    )
    ladders = tuple(
        CylinderLadder(
            cylinder=name, smallest=mm("62.2"), largest=mm("62.3"), bore_limit=mm("63"),
            wear_per_rebuild=None, bore_low=mm("62.49"), bore_high=mm("62.51"),
            rebuilds_left=3, light_hones=1, rungs=rungs,
        )
        for name in cylinders(count)
    )  # fmt: skip
    return LadderAnswer(**HEAD, status="proven best", cylinders=ladders)


VIEWS = {"fits": fits, "firm": firm, "why": why, "ladder": ladder}


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("count", COUNTS)
@pytest.mark.parametrize("name", VIEWS)
def test_alike_cylinders_take_one_screen_or_two(name: str, count: int, unit: Unit) -> None:
    answer = VIEWS[name](count)
    lines = shown(report_of(answer, unit, CLOSED)).splitlines()
    assert len(lines) <= 48, "\n".join(lines)
    assert max(map(len, lines)) <= 80
    assert max(map(len, shown(report_of(answer, unit, CLOSED), 40).splitlines())) <= 40


@pytest.mark.parametrize("name", ["fits", "firm", "why"])
def test_alike_cylinders_are_named_together(name: str) -> None:
    assert "ylinders 1 to 8" in flat(report_of(VIEWS[name](8), "mm", CLOSED))
    assert "ylinders 1 to 8" in flat(report_of(VIEWS[name](8), "mm"))


def test_what_differs_is_told_apart() -> None:
    answer = why(3)
    other = answer.choices[-1].model_copy(update={"sentence": "groove 3: two other rings"})
    answer = answer.model_copy(update={"choices": (*answer.choices[:-1], other)})
    text = flat(report_of(answer, "mm"))
    assert "Cylinders 1, 2" in text and "Cylinder 3" in text


def test_the_smallest_margin_comes_first_and_none_is_lost_in_the_whole() -> None:
    answer = firm(2)
    closed = shown(report_of(answer, "mm", CLOSED))
    rows = [line for line in closed.splitlines() if "largest reading larger" in line]
    assert rows and closed.index("largest reading larger") < closed.index("end gap 1")
    whole = flat(report_of(answer, "mm"))
    for title in ("if it were larger", "if it were smaller", "if they were further in", "Picked"):
        assert title in whole


def test_sets_that_do_not_fit_are_counted_and_all_there_in_the_whole() -> None:
    closed = flat(report_of(fits(1), "mm", CLOSED))
    assert "1 of 31 sets fits." in closed
    assert "end gap 30 P-025 0.032" in closed
    assert flat(report_of(fits(1), "mm")).count("does not fit") == 30


def test_plans_that_differ_in_gaskets_only_are_told_as_such() -> None:
    zero = Totals(
        restored=0, largest_removal=0, total_removal=0, filing=0, price=0, days=0, sizes_left=0
    )
    ring = Change(cylinder="1", what="ring of groove 2", best="R", here="S")
    gasket = Change(cylinder="1", what="gasket head", best="G", here="H")
    plans = tuple(
        Alternative(
            rank=rank, proven=True, totals=zero, against_best=zero, changes=changes,
            cylinders=(), order=(),
        )
        for rank, changes in enumerate(((), (gasket,), (ring,), (ring, gasket)), start=1)
    )  # fmt: skip
    answer = AlternativesAnswer(
        **HEAD, currency="EUR", finishing="set size", status="proven best", asked=4, complete=True,
        plans=plans,
    )  # fmt: skip
    text = flat(report_of(answer, "mm"))
    assert "plan 2 as plan 1, with cylinder 1: gasket head H in place of G" in text
    assert "plan 3 cylinder 1: ring of groove 2 S in place of R" in text
    assert "plan 4 as plan 3, with cylinder 1: gasket head H in place of G" in text
