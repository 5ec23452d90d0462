"""The final check: pass or fail for every fit, worked by hand, to the tick."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from fitsolver.errors import InputError
from fitsolver.final_check import Final, final_check
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
from fitsolver.records.plan import Fit
from fitsolver.records.readings import Reading
from fitsolver.records.windows import Window

from .cli.run import BRUSHSAW, PUMP, Run, runner
from .rules.small import PISTON, RING, catalogue, part

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
    ran = run("final", PUMP)
    assert ran.code == 2
    assert "allowed: already finished" in ran.err
