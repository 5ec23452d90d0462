"""A coated skirt that may be larger than its bore: a negative clearance that a sheet states."""

from __future__ import annotations

import pytest

from fitsolver.picking.decide import decide
from fitsolver.planning.cautions import TIGHT
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.figures import Figures
from fitsolver.records.job import Job
from fitsolver.reporting.attention import attention
from fitsolver.usecases.counter import sets_of

from ..oracle.brute import best_plan
from ..oracle.small import bore, catalogue, groove, job, mm, piston, ring, window

#: Sheets of coated pistons state a lowest clearance below 0 (from memory). Invented here: a
#: skirt of 62.470 to 62.490 mm with its coating, in a bore of 62.475 to 62.500: -0.015 to 0.030 mm.
SKIRT = mm("62.470"), mm("62.490")
LEAST, MOST = mm("-0.015"), mm("0.030")
BORE = mm("62.475"), mm("62.500")
NOMINAL = mm("62.5")


def asked(low: int | None, high: int | None, guard: int = 0) -> Job:
    """A bore that reads the sheet's smallest and largest size, left as it is."""
    edges = window("clearance", low, high, guard=guard)
    return job(bore("1", *BORE), windows=(edges,), finishing="already finished")


def parts() -> Catalogue:
    return catalogue(
        piston("P", NOMINAL, *SKIRT, grooves=(groove(1),)),
        ring("R", NOMINAL, mm("0.30")),
        standard_bore=NOMINAL,
    )


def fits(task: Job) -> bool:
    """Does it fit by the solver, the part sets and the independent search alike?"""
    found = {
        decide(task, parts()).plan is not None,
        any(item.holds for item in sets_of(task, parts())),
        best_plan(task, parts()) is not None,
    }
    assert len(found) == 1
    return found.pop()


def test_the_sheet_is_exact_at_both_ends() -> None:
    assert fits(asked(LEAST, MOST))
    plan = decide(asked(LEAST, MOST), parts()).plan
    assert plan is not None
    [line] = [fit for fit in plan.cylinders[0].fits if fit.fit == "clearance"]
    assert (line.least, line.most, line.slack_low, line.slack_high) == (LEAST, MOST, 0, 0)


@pytest.mark.parametrize(("low", "high"), [(LEAST + 1, MOST), (LEAST, MOST - 1)])
def test_a_tick_less_and_it_does_not_fit(low: int, high: int) -> None:
    assert not fits(asked(low, high))


def test_the_guard_is_taken_off_a_negative_edge_too() -> None:
    assert not fits(asked(LEAST, MOST + 1, guard=1))
    assert fits(asked(LEAST - 1, MOST + 1, guard=1))


@pytest.mark.parametrize("low", [None, 0])
def test_without_the_negative_edge_no_skirt_may_be_larger_than_its_bore(low: int | None) -> None:
    assert not fits(asked(low, MOST))


def test_that_the_skirt_may_be_larger_is_told_first() -> None:
    """A window of -0.06 may be one of 0.06 with a slip: whoever typed it hears of it."""
    answer = decide(asked(LEAST, MOST), parts())
    assert any(
        caution.startswith("Cylinder 1: the skirt may be larger than the bore, by up to 0.015 mm")
        for caution in answer.cautions
    )
    assert TIGHT in attention(answer, Figures("mm"))[0]
    wide = decide(asked(0, MOST), catalogue(piston("P", NOMINAL, BORE[0], BORE[0])))
    assert not any(TIGHT in caution for caution in wide.cautions)
