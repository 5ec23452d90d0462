"""A guard that leaves no room is the gauge's fault, and said to be."""

from __future__ import annotations

from fitsolver.picking.decide import decide
from fitsolver.records.measuring import Instrument, Measuring, Temperatures
from fitsolver.records.windows import Window
from tests.unit.rules import small

#: Least 0.049, most 0.054: a window of 0.045 to 0.058 leaves 0.004 on each side.
WINDOW = Window(fit="clearance", low=4_500, high=5_800)


def measuring(u: int, factor: int = 1_000) -> Measuring:
    return Measuring(
        instruments=(
            Instrument(kind="bore gauge", standard_uncertainty=u),
            Instrument(kind="outside micrometer", standard_uncertainty=0),
        ),
        decision="guarded",
        factor=factor,
    )


def test_a_good_gauge_leaves_a_plan() -> None:
    assert decide(small.job(WINDOW, measuring=measuring(400)), small.catalogue()).plan is not None


def test_a_poor_gauge_is_what_fails() -> None:
    answer = decide(small.job(WINDOW, measuring=measuring(800)), small.catalogue())
    assert answer.status == "nothing fits"
    assert answer.no_fit is not None
    assert answer.no_fit.reasons[0].rule == "clearance"
    assert "measuring allowance of 0.0080 mm on each side" in answer.no_fit.reasons[0].sentence
    way = answer.no_fit.ways_left[0]
    assert "the gauge, not the part" in way
    # a bore of 0.004 more permits a guard of up to half the room: (13.0 - 4 - 1) / 2 = 4 um
    assert "instead of 0.0080 mm" in way


def test_the_uncertainty_named_would_really_do() -> None:
    answer = decide(small.job(WINDOW, measuring=measuring(800)), small.catalogue())
    assert answer.no_fit is not None
    words = answer.no_fit.ways_left[0].split("standard uncertainty of ")[1]
    needed = round(float(words.split(" mm")[0]) * 100_000)
    assert decide(small.job(WINDOW, measuring=measuring(needed)), small.catalogue()).plan
    worse = small.job(WINDOW, measuring=measuring(needed + 30))
    assert decide(worse, small.catalogue()).plan is None


def test_a_part_that_fails_without_guards_too_is_not_blamed_on_the_gauge() -> None:
    narrow = Window(fit="clearance", low=4_500, high=4_600)
    answer = decide(small.job(narrow, measuring=measuring(800)), small.catalogue())
    assert answer.no_fit is not None
    assert not any("gauge" in way for way in answer.no_fit.ways_left)


def test_the_uncertainty_that_there_is_counts_the_piston_by_its_alloy() -> None:
    """Six degrees either way: 62 mm x rss(11.4, 22.3) x 1e-6 x 6 / sqrt(3) = 5.38 um.

    A steel piston makes it 62 mm x rss(11.4, 11.5) x 1e-6 x 6 / sqrt(3) = 3.48 um, which fits.
    """
    measured = Measuring(
        temperatures=Temperatures(uncertainty=6_000), decision="guarded", factor=1_000
    )
    pinned = (small.cylinder(piston="P", piston_size=6_195_550),)
    task = small.job(WINDOW, cylinders=pinned, measuring=measured)
    alloyed = small.catalogue(pistons=(small.part(small.PISTON, alloy="al_2618"),))
    answer = decide(task, alloyed)
    assert answer.no_fit is not None
    assert "instead of 0.0054 mm" in answer.no_fit.ways_left[0]
    assert decide(task, small.catalogue()).plan is not None
