"""The final check: pass or fail for every fit, worked by hand, to the tick."""

from __future__ import annotations

from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

from fitsolver.base.errors import InputError
from fitsolver.picking.decide import decide
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.final import FinalAnswer
from fitsolver.records.job import (
    Cylinder,
    GasketPlace,
    InHand,
    Job,
    MassMatch,
    PinnedRing,
    SameSize,
    Squish,
)
from fitsolver.records.measuring import Instrument, Measuring
from fitsolver.records.plan import Fit
from fitsolver.records.readings import Reading
from fitsolver.records.windows import Window
from fitsolver.usecases import files as service
from fitsolver.usecases.final import final_verdict
from fitsolver.usecases.final_check import Final, final_check
from fitsolver.verbs.report import report as report_of
from tests.unit.cli.run import BRUSHSAW, PUMP, Run, runner
from tests.unit.rules.small import PISTON, RING, catalogue, part

SMALL, LARGE, SKIRT, GAP = 6_200_400, 6_200_800, 6_195_500, 26_000
CLEARANCE = Window(fit="clearance", low=4_900, high=5_300)
END_GAP = Window(fit="end_gap", low=26_000, high=27_256)


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    return runner(monkeypatch, capsys)


def cylinder(name: str = "1", **changes: Any) -> Cylinder:
    facts: dict[str, Any] = {
        "name": name,
        "material": "iron",
        "readings": (
            Reading(depth=1_000_000, angle=0, size=LARGE),
            Reading(depth=1_000_000, angle=90, size=SMALL),
        ),
        "piston": "P",
        "piston_size": SKIRT,
        "rings": (PinnedRing(groove=1, number="R"),),
    }
    return Cylinder(**{**facts, **changes})


def ring(gap: int = GAP, name: str = "1") -> InHand:
    """The ring, its gap measured where the bore is smallest."""
    return InHand(number="R", gap=gap, gap_bore=SMALL, cylinder=name)


def judged(*windows: Window, parts: Catalogue | None = None, **changes: Any) -> Final:
    facts: dict[str, Any] = {
        "name": "finished",
        "finishing": "already finished",
        "cylinders": (cylinder(),),
        "in_hand": (ring(),),
        "windows": windows,
    }
    return final_check(Job(**{**facts, **changes}), parts or catalogue())


def line(found: Final, fit: str) -> Fit:
    return next(item for item in found.cylinders[0].fits if item.fit == fit)


@pytest.mark.parametrize(("low", "high", "passes"), [(0, 0, True), (1, 0, False), (0, 1, False)])
def test_clearance_to_the_tick(low: int, high: int, passes: bool) -> None:
    found = judged(Window(fit="clearance", low=4_900 + low, high=5_300 - high))
    fit = line(found, "clearance")
    assert (fit.least, fit.most) == (SMALL - SKIRT, LARGE - SKIRT)
    assert fit.holds is passes
    assert found.cylinders[0].passes is passes


def test_a_guard_is_taken_off() -> None:
    window = Window(fit="clearance", low=4_900, high=5_300, guard=1)
    assert not judged(window).cylinders[0].passes


def test_a_gap_that_is_too_small_fails_and_is_not_filed() -> None:
    found = judged(END_GAP, in_hand=(ring(GAP - 1),))
    fit = line(found, "end_gap")
    assert (fit.filed, fit.least, fit.holds) == (0, GAP - 1, False)
    assert not found.cylinders[0].passes


def test_a_gap_grows_with_the_bore() -> None:
    found = judged(END_GAP)
    fit = line(found, "end_gap")
    # pi times 4 µm: 12.566 µm, to the safe side.
    assert (fit.least, fit.most) == (GAP, GAP + 1_257)
    assert not fit.holds  # a tick above 27 256
    assert line(judged(END_GAP.model_copy(update={"high": 27_257})), "end_gap").holds


def test_what_was_not_measured_is_said() -> None:
    bare = cylinder(piston_size=None)
    cautions = judged(CLEARANCE, cylinders=(bare,), in_hand=()).cautions
    assert any("skirt of P was not measured" in said for said in cautions)
    assert any("gap of R in groove 1 was not measured" in said for said in cautions)
    assert judged(CLEARANCE).cautions == ()


def verdict(*windows: Window, **changes: Any) -> tuple[str, list[tuple[str, int | None, str]]]:
    """The verdict on the one cylinder, and what of it was not judged."""
    (found,) = judged(*windows, **changes).cylinders
    assert found.judged is not bool(found.not_judged)
    assert found.passes is (found.verdict == "pass")
    return found.verdict, [(item.fit, item.groove, item.why) for item in found.not_judged]


BARE = {"cylinders": (cylinder(piston_size=None),), "in_hand": ()}


def test_a_skirt_that_was_not_measured_is_never_a_pass() -> None:
    """Skirts of 61.955 to 61.956 in a bore of 62.004 to 62.008: 0.048 to 0.053."""
    unknown = [("clearance", None, "skirt not measured")]
    for low, high, expected in (
        (4_800, 5_300, "not judged"),  # the whole range conforms: so says the catalogue
        (4_850, 5_300, "not judged"),  # some of it does
        (4_900, 5_300, "not judged"),  # the smallest alone
        (4_901, 5_300, "fail"),  # none does
        (4_800, 5_199, "fail"),
        (4_800, 5_200, "not judged"),  # the largest alone
        (4_850, 5_249, "fail"),  # no one skirt has both edges
        (4_850, 5_250, "not judged"),
    ):
        window = Window(fit="clearance", low=low, high=high)
        told = verdict(window, **BARE)
        assert told == (expected, unknown if expected == "not judged" else []), window


def test_a_gap_that_was_not_measured_is_never_a_pass() -> None:
    """A ring of 0.250 to 0.300 in 62 mm."""
    unknown = [("end_gap", 1, "gap not measured")]
    facts = {"in_hand": ()}
    wide = Window(fit="end_gap", low=20_000, high=40_000)
    assert verdict(wide, **facts) == ("not judged", unknown)
    narrow = Window(fit="end_gap", low=28_000, high=30_000)
    assert verdict(narrow, **facts) == ("not judged", unknown)
    assert verdict(Window(fit="end_gap", low=40_000), **facts) == ("fail", [])
    assert verdict(wide) == ("pass", [])
    # A ring in hand that was weighed up as kept, its gap not measured, is not measured either.
    kept = InHand(number="R", kept=True, cylinder="1")
    assert verdict(wide, in_hand=(kept,)) == ("not judged", unknown)


def test_a_fit_that_fails_comes_before_one_that_is_not_judged() -> None:
    tight = Window(fit="clearance", low=4_901)
    wide = Window(fit="end_gap", low=20_000, high=40_000)
    told = verdict(tight, wide, in_hand=())
    assert told == ("fail", [("end_gap", 1, "gap not measured")])


def test_form_needs_two_axes_and_two_depths() -> None:
    form = (Window(fit="out_of_round", high=1_000), Window(fit="taper", high=1_000))
    no_axes = ("out_of_round", None, "no depth was read on two axes")
    no_depths = ("taper", None, "no axis was read at two depths")

    def read(*places: tuple[int, int]) -> dict[str, Any]:
        readings = tuple(Reading(depth=depth, angle=angle, size=LARGE) for depth, angle in places)
        return {"cylinders": (cylinder(readings=readings),)}

    assert verdict(*form, **read((0, 0), (0, 90))) == ("not judged", [no_depths])
    assert verdict(*form, **read((0, 0), (500, 0))) == ("not judged", [no_axes])
    assert verdict(*form, **read((0, 0), (500, 90))) == ("not judged", [no_axes, no_depths])
    assert verdict(*form, **read((0, 0), (0, 90), (500, 0))) == ("pass", [])
    stated = cylinder(readings=(), finished_size=LARGE)
    said = "the bore was not read at places"
    assert verdict(*form, cylinders=(stated,)) == (
        "not judged",
        [("out_of_round", None, said), ("taper", None, said)],
    )


def test_windows_that_nothing_stands_against_are_not_judged() -> None:
    assert verdict(Window(fit="squish", low=1)) == (
        "not judged",
        [("squish", None, "no squish base is given")],
    )
    assert verdict(Window(fit="end_gap", groove=2, low=1)) == (
        "not judged",
        [("end_gap", 2, "P has no groove 2")],
    )
    only_kept = Window(fit="clearance", service_high=6_000)
    assert verdict(only_kept) == ("pass", [])  # of a new piston it asks nothing


def test_a_piece_is_fitted_once() -> None:
    free = InHand(number="P", size=SKIRT)
    two = tuple(cylinder(name, piston_size=None, rings=cylinder().rings) for name in "12")
    found = judged(
        CLEARANCE, cylinders=two, in_hand=(free, free, ring(), ring(GAP + 500, "2"))
    ).cylinders
    assert [item.piston for item in found] == ["P (piece 1)", "P (piece 2)"]
    assert [item.rings for item in found] == [("R (piece 1)",), ("R (piece 2)",)]


def test_scratch_and_bore_limit_fail_it() -> None:
    found = judged(cylinders=(cylinder(scratch=100, bore_limit=LARGE - 1),)).cylinders[0]
    assert {item.rule: item.holds for item in found.verdicts} == {
        "clean_up": False,
        "bore_limit": False,
    }
    found = judged(cylinders=(cylinder(bore_limit=LARGE),)).cylinders[0]
    assert found.passes and found.verdicts[0].margin == 0


def test_squish_needs_the_gaskets() -> None:
    facts: dict[str, Any] = {
        "cylinders": (cylinder(squish=Squish(base_low=3_450_000, base_high=3_450_000)),),
        "gaskets": (GasketPlace(place="head"),),
    }
    window = Window(fit="squish", low=99_000, high=101_000)
    missing = judged(window, **facts)
    assert all(fit.fit != "squish" for fit in missing.cylinders[0].fits)
    assert "squish is not judged" in missing.cautions[0]
    assert verdict(window, **facts) == (
        "not judged",
        [("squish", None, "the gaskets at head are not in hand")],
    )
    gasket = InHand(number="G", cylinder="1")
    found = judged(window, **facts, in_hand=(ring(), gasket))
    fit = line(found, "squish")
    assert (fit.least, fit.most, fit.holds) == (99_000, 101_000, True)
    assert found.cylinders[0].gaskets == ("G",)


def test_cylinders_together() -> None:
    facts: dict[str, Any] = {
        "cylinders": (
            cylinder("1", piston_mass=200_000),
            cylinder("2", piston="Q", piston_mass=201_000),
        ),
        "in_hand": (ring(), ring(GAP, "2")),
        "same_size": (SameSize(cylinders=("1", "2")),),
        "parts": catalogue(pistons=(PISTON, part(PISTON, number="Q", oversize=2_500))),
    }
    for limit, holds in ((1_000, True), (999, False)):
        match = MassMatch(cylinders=("1", "2"), limit=limit)
        found = judged(**facts, mass_match=(match,)).together
        assert [(item.rule, item.holds) for item in found] == [
            ("same_size", False),
            ("mass_match", holds),
        ]


def test_refuses_what_it_cannot_judge() -> None:
    with pytest.raises(InputError, match="finished bores"):
        judged(finishing="set size")
    with pytest.raises(InputError, match="piston that is fitted is not named"):
        judged(cylinders=(cylinder(piston=None, piston_size=None),))
    with pytest.raises(InputError, match="groove 1 is not named"):
        judged(cylinders=(cylinder(rings=()),))
    assert RING.number == "R"


MEASURED = Measuring(
    instruments=(
        Instrument(kind="outside micrometer", permissible_error=100, repeatability=40),
        Instrument(kind="bore gauge", permissible_error=80, repeatability=60),
    )
)


def test_without_instruments_there_are_no_odds() -> None:
    found = judged(CLEARANCE)
    assert (found.probability, found.cylinders[0].probability) == (None, None)


def test_the_odds_are_those_that_a_plan_of_the_same_parts_has() -> None:
    """The finished demo, measured, by `final` and by the plan that leaves it as it is."""
    job, parts = service.load(BRUSHSAW.with_name("finished.toml"))
    job = job.model_copy(update={"measuring": MEASURED})
    found, plan = final_verdict(job, parts), decide(job, parts).plan
    assert plan is not None and found.verdict == "pass" and found.probability is not None
    assert found.probability == pytest.approx(plan.probability, abs=1e-3)
    (own,), (planned,) = found.cylinders, plan.cylinders
    assert {fit.fit: fit.probability for fit in own.fits if fit.probability is not None} == {
        fit.fit: pytest.approx(fit.probability, abs=1e-3)
        for fit in planned.fits
        if fit.probability is not None
    }
    text = shown(found)
    share = int(1_000 * found.probability) / 10
    assert f"All that was judged conforms: {share:.1f} % likely" in text
    assert "the risk of being out is" in text


def test_of_what_fails_the_risk_is_that_it_is_right() -> None:
    """A clearance half a micrometre too large, whose error is some micrometres."""
    tight = CLEARANCE.model_copy(update={"low": 4_000, "high": LARGE - SKIRT - 50})
    answer = final_verdict(
        Job(
            name="finished",
            finishing="already finished",
            cylinders=(cylinder(form_allowance=1),),
            in_hand=(ring(),),
            windows=(tight,),
            measuring=MEASURED,
        ),
        catalogue(),
    )
    assert answer.verdict == "fail" and answer.probability is not None
    assert 0.1 < answer.probability < 0.5
    assert "the risk of failing what is right" in shown(answer)


def test_what_was_not_judged_has_no_odds() -> None:
    wide = END_GAP.model_copy(update={"high": 40_000})
    unsaid = judged(CLEARANCE, wide, in_hand=(), measuring=MEASURED)
    (own,) = unsaid.cylinders
    gap = next(fit for fit in own.fits if fit.fit == "end_gap")
    clearance = next(fit for fit in own.fits if fit.fit == "clearance")
    assert gap.probability is None and clearance.probability is not None


def shown(answer: FinalAnswer) -> str:
    out = StringIO()
    Console(file=out, width=200).print(report_of(answer))
    return out.getvalue()


def test_command(run: Run, tmp_path: Path) -> None:
    finished = BRUSHSAW.with_name("finished.toml")
    ran = run("final", finished)
    assert (ran.code, ran.err) == (0, "")
    assert "PASS: every fit" in ran.out
    tight = tmp_path / "tight.toml"
    text = finished.read_text(encoding="utf-8").replace("size = 43.9588", "size = 43.9601")
    tight.write_text(text, encoding="utf-8")
    ran = run("final", tight, "--catalogue", finished.parent)
    assert ran.code == 3
    assert "Cylinder 1: FAIL" in ran.out and "MISSED: clearance" in ran.out
    ran = run("final", finished, "--json")
    assert FinalAnswer.model_validate_json(ran.out).passes
    unsaid = tmp_path / "unsaid.toml"
    text = finished.read_text(encoding="utf-8").replace(" gap = 0.21, gap_bore = 44.004,", "")
    unsaid.write_text(text, encoding="utf-8")
    ran = run("final", unsaid, "--catalogue", finished.parent)
    assert (ran.code, ran.err) == (3, "")
    assert "NOT JUDGED: cylinder 1, end gap 2 (gap not measured). Nothing" in ran.out
    assert "Cylinder 1: not judged" in ran.out and "MISSED" not in ran.out
    answer = FinalAnswer.model_validate_json(
        run("final", unsaid, "--catalogue", finished.parent, "--json").out
    )
    assert (answer.verdict, answer.judged, answer.passes) == ("not judged", False, False)
    ran = run("final", PUMP)
    assert ran.code == 2
    assert "allowed: already finished" in ran.err
