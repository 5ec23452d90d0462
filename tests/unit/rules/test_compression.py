"""The squish was 1.20 mm over 12 cm3; it becomes 0.99 to 1.01 mm, so it grows by -0.21 to -0.19.

The bore is 62.005 to 62.009 mm afterwards and the stroke 54.5 mm: areas of 30.19557506 and
30.19947108 cm2 sweep 164.565884 and 164.587117 cm3. At most 12 - 0.019 x 30.19557506 = 11.426284
cm3 are left, at least 12 - 0.021 x 30.19947108 = 11.365811: ratios of 15.402397 to 15.480895.
"""

from typing import Any

from fitsolver.explain.why import nothing_fits
from fitsolver.records.job import Engine, GasketPlace, Job, Squish
from fitsolver.records.windows import Window
from fitsolver.solving.problem import problem

from . import small

LEAST, MOST = 15_402, 15_481
#: A cubic centimetre in cubic ticks.
CM3 = 10**18


def squeezed(low: int | None, high: int | None, **changes: Any) -> Job:
    squish = Squish(base_low=3_450_000, base_high=3_450_000, squish_before=120_000)
    return small.job(
        Window(fit="compression", low=low, high=high),
        *changes.pop("windows", ()),
        cylinders=(small.cylinder(squish=squish),),
        gaskets=(GasketPlace(place="head"),),
        engine=Engine(stroke=5_450_000, chamber_volume=12 * CM3),
        **changes,
    )


def test_the_ratio_lies_on_both_edges() -> None:
    plan = small.holds(squeezed(LEAST, MOST))
    [line] = [fit for fit in plan.cylinders[0].fits if fit.fit == "compression"]
    assert (line.least, line.most, line.slack_low, line.slack_high) == (LEAST, MOST, 0, 0)
    assert plan.cylinders[0].bore_low == small.LOW


def test_a_thousandth_less_at_the_top_and_it_does_not() -> None:
    sentence = small.fails("compression", squeezed(LEAST, MOST - 1))
    assert "15.402 to 15.480 asked" in sentence


def test_a_larger_finish_reaches_a_ratio_that_the_smallest_does_not() -> None:
    """One thousandth more asks for 0.00124 mm more, and the hone may take it."""
    plan = small.holds(squeezed(LEAST + 1, None))
    item = plan.cylinders[0]
    assert item.bore_low == 6_200_624 == (item.lowest or 0) - small.HONE.half_width
    [line] = [fit for fit in item.fits if fit.fit == "compression"]
    assert (line.least, line.slack_low) == (LEAST + 1, 0)


def test_one_that_no_finish_reaches_fails() -> None:
    clearance = Window(fit="clearance", low=1_000, high=small.HIGH - 6_195_500)
    small.holds(squeezed(LEAST, None, windows=(clearance,)))
    small.fails("compression", squeezed(LEAST + 1, None, windows=(clearance,)))


def test_a_bore_that_waits_for_its_piston_is_finished_to_the_ratio() -> None:
    task = squeezed(LEAST + 1, None, finishing="piston in hand")
    assert small.holds(task).cylinders[0].bore_low == 6_200_624


def test_without_a_volume_above_the_crown_there_is_no_ratio() -> None:
    task = squeezed(2_000, None)
    tiny = task.engine.model_copy(update={"chamber_volume": CM3 // 2})
    assert "no volume" in small.fails("compression", task.model_copy(update={"engine": tiny}))


def test_a_piston_of_unknown_compression_height_is_refused() -> None:
    parts = small.catalogue(pistons=(small.part(small.PISTON, compression_height=None),))
    assert "compression height" in small.fails("compression", squeezed(LEAST, MOST), parts)


def test_why_names_the_smallest_wider_window() -> None:
    told = nothing_fits(problem(squeezed(None, MOST - 30), small.catalogue()))
    assert "compression" in {reason.rule for reason in told.conflicts}
    [opening] = [item for item in told.openings if item.sentence.startswith("the highest comp")]
    assert (opening.by, opening.measure, opening.opens_job) == (30, "thousandths", True)


def test_the_check_sees_it() -> None:
    task, parts = squeezed(LEAST, MOST), small.catalogue()
    plan = small.holds(task, parts)
    assert not small.broken("compression", task, parts, plan)
    assert small.broken("compression", squeezed(LEAST + 1, MOST), parts, plan)
    assert small.broken("compression", squeezed(LEAST, MOST - 1), parts, plan)


KEPT = small.Case(squeezed(LEAST, MOST), small.catalogue())
REFUSED = small.Case(squeezed(LEAST, LEAST), small.catalogue())
