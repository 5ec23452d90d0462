"""Parts on the bench: measured pistons move the finish, or have to be ordered again."""

from __future__ import annotations

from pathlib import Path
from shutil import copytree

import pytest

from fitsolver.base.errors import InputError
from fitsolver.records.arrived import ArrivedAnswer
from fitsolver.records.base import Range
from fitsolver.records.figures import Figures
from fitsolver.records.job import InHand
from fitsolver.records.plan import Plan
from fitsolver.reporting.arrived_view import kept_gap
from fitsolver.reporting.schema import to_json
from fitsolver.usecases import files as service
from fitsolver.usecases.parts_arrived import bought, check_same, nothing_for_sale, on_the_bench
from tests.unit.cli.run import PUMP, WORN_OUT, Run, runner
from tests.unit.rules.small import CYLINDER, PISTON, catalogue, holds, job, part

#: The demo pump with every figure in its job.
WHOLE = Path(__file__).parents[2] / "format1" / "pump"
IRON = 'name = "1"\nmaterial = "iron"\n'


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    return runner(monkeypatch, capsys)


@pytest.fixture(scope="module")
def pump(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo pump in a folder of its own, with the document of its pick."""
    folder = tmp_path_factory.mktemp("bench") / "pump"
    copytree(WHOLE, folder)
    text = to_json(service.pick(folder / "job.toml"))
    (folder / "ordered.json").write_text(text, encoding="utf-8")
    return folder


def came(pump: Path, name: str, lines: str, more: str = "") -> ArrivedAnswer:
    """The answer once these lines stand in cylinder 1, and more at the end."""
    return service.arrived(written(pump, name, lines, more), pump / "ordered.json")


def written(pump: Path, name: str, lines: str, more: str = "") -> Path:
    text = (pump / "job.toml").read_text(encoding="utf-8")
    assert IRON in text
    path = pump / f"{name}.toml"
    changed = text.replace(IRON, IRON + lines, 1).replace(
        "[[same_size]]", more + "[[same_size]]", 1
    )
    # Some of these pieces measure as no maker makes them: what came may be another part.
    accepted = 'format = 1\naccept = ["piston_size 1", "in_hand 2 size"]'
    path.write_text(changed.replace("format = 1", accepted, 1), encoding="utf-8")
    return path


def plan(pump: Path) -> Plan:
    found = service.pick(pump / "job.toml").plan
    assert found is not None
    return found


def test_a_measured_piston_moves_the_finish(pump: Path) -> None:
    answer = came(pump, "moved", 'piston = "PP-050A"\npiston_size = 62.437\n')
    assert answer.status == "ordered parts serve"
    assert (answer.again, answer.left_over, answer.reasons) == ((), (), ())
    first = answer.cylinders[0]
    assert (first.ordered_skirt.low, first.ordered_skirt.high) == (6_243_000, 6_243_600)
    assert first.skirt is not None and first.finish is not None
    assert first.skirt.low == first.skirt.high == 6_243_700
    # The pistons of the catalogue's range stand 63.3 µm below their finish; so does this one.
    above = first.ordered_finish.high - first.ordered_skirt.high
    assert first.finish.low == first.finish.high == 6_243_700 + above
    assert answer.plan is not None
    assert {line.source for line in answer.plan.order} == {"in hand"}


def test_a_piston_that_is_too_large_is_ordered_again(pump: Path) -> None:
    answer = came(pump, "again", 'piston = "PP-050A"\npiston_size = 62.700\n')
    assert answer.status == "order again"
    assert answer.reasons
    assert "piston" in {line.what for line in answer.again}
    assert all(line.source != "in hand" for line in answer.again)
    assert "PP-050A" in {item.number for item in answer.left_over}
    assert answer.plan is not None
    assert all(part.piston.piece != "in cylinder 1" for part in answer.plan.cylinders)


def test_a_ring_that_gapes_is_one_of_those_ordered(pump: Path) -> None:
    ring = '[[in_hand]]\nnumber = "PR1-050"\ngap = 0.80\ngap_bore = 62.5\ncylinder = "1"\n\n'
    answer = came(pump, "ring", "", ring)
    assert answer.status == "order again"
    (reason,) = answer.reasons
    assert (reason.rule, reason.cylinder) == ("end_gap", "1")
    # 0.80 in 62.5 is pi x 0.012 less in 62.488, where the bore would be smallest.
    assert reason.sentence.startswith("PR1-050 (piece 1) does not serve as measured: groove 1: ")
    assert (
        "0.763 to 0.795 mm is the gap of PR1-050 in a bore of 62.488 to 62.499 mm"
        in reason.sentence
    )
    assert "0.250 to 0.406 mm asked" in reason.sentence
    assert "PR2-050" not in reason.sentence
    assert [(item.number, item.count) for item in answer.left_over] == [("PR1-050", 1)]
    assert "ring" in {line.what for line in answer.again}


def test_a_ring_that_gapes_and_is_free_for_any_cylinder(pump: Path) -> None:
    ring = '[[in_hand]]\nnumber = "PR1-050"\ngap = 0.80\ngap_bore = 62.5\n\n'
    answer = came(pump, "free", "", ring)
    assert [(item.rule, item.cylinder) for item in answer.reasons] == [("end_gap", "1")]


def test_a_ring_that_is_measured_and_fits_is_no_reason(pump: Path) -> None:
    good = '[[in_hand]]\nnumber = "PR1-050"\ngap = 0.30\ngap_bore = 62.5\ncylinder = "1"\n\n'
    answer = came(pump, "good", "", good)
    assert (answer.status, answer.reasons) == ("ordered parts serve", ())
    first = answer.cylinders[0].rings[0]
    assert (first.groove, first.number, first.used) == (1, "PR1-050", True)
    # 0.30 in 62.5; the bore of the plan is within 10 µm of it, which is 0.031 of gap.
    assert first.end_gap is not None
    assert 26_000 < first.end_gap.low <= first.end_gap.high < 34_000


def test_a_measured_piston_that_may_go_anywhere_tells_its_fit(pump: Path) -> None:
    piston = '[[in_hand]]\nnumber = "PP-050A"\nsize = 62.700\n\n'
    answer = came(pump, "loose", "", piston)
    assert answer.status == "order again"
    assert all(item.rule != "availability" for item in answer.reasons)
    assert "PP-050A (piece 1) does not serve as measured" in answer.reasons[0].sentence


def test_the_ordered_rings_are_told_one_by_one(pump: Path) -> None:
    """A piston measured larger takes the bore, and so the gaps, along."""
    usual = came(pump, "usual", 'piston = "PP-050A"\npiston_size = 62.432\n')
    large = came(pump, "large", 'piston = "PP-050A"\npiston_size = 62.437\n')
    gaps = []
    for answer in (usual, large):
        assert all(ring.used for item in answer.cylinders for ring in item.rings)
        gap = answer.cylinders[0].rings[0].end_gap
        assert gap is not None
        gaps.append(gap)
    # 5 µm more of bore is pi times that of gap: 15.7 µm; within a tick of rounding.
    assert abs(gaps[1].high - gaps[0].high - 1_571) <= 1
    again = came(pump, "too", 'piston = "PP-050A"\npiston_size = 62.700\n')
    assert again.plan is not None
    for item, now in zip(again.cylinders, again.plan.cylinders, strict=True):
        fitted = {(ring.groove, ring.number) for ring in now.rings}
        assert all(ring.used is ((ring.groove, ring.number) in fitted) for ring in item.rings)


def test_nothing_is_bought_besides(pump: Path) -> None:
    task, whole = service.load(pump / "job.toml")
    bare = nothing_for_sale(whole, on_the_bench(task, plan(pump), whole))
    assert bare.kits == ()
    assert len(bare.pistons) == len(whole.pistons)
    assert {item.number for item in bare.rings} == {"PR1-050", "PR1-075", "PR2-050"}
    for parts in (bare.pistons, bare.rings, bare.gaskets):
        assert all((item.price, item.stock, item.lead_days) == (None, 0, None) for item in parts)


def test_kits_are_taken_apart(pump: Path) -> None:
    catalogue_of = service.load(pump / "job.toml")[1]
    found = bought(plan(pump), catalogue_of)
    assert found["PP-050A"] == 1  # from the kit PK-050A
    assert found["PP-050B"] == 0  # was in hand
    assert found["PR1-075"] == 1  # from stock


def test_what_is_measured_is_not_one_more() -> None:
    task = job()
    ordered = holds(task)
    pinned = CYLINDER.model_copy(update={"piston": "P", "piston_size": 6_195_500})
    here = on_the_bench(job(cylinders=(pinned,)), ordered, catalogue())
    assert {item.number: item.count for item in here.in_hand} == {"R": 1}
    measured = InHand(number="R", gap=26_000, gap_bore=6_200_000)
    here = on_the_bench(job(in_hand=(measured,)), ordered, catalogue())
    assert [(item.number, item.count) for item in here.in_hand] == [("R", 1), ("P", 1)]


def test_refuses_another_order() -> None:
    ordered = holds(job())
    other = CYLINDER.model_copy(update={"name": "2"})
    with pytest.raises(InputError, match="other cylinders"):
        check_same(job(cylinders=(other,)), ordered)
    larger = part(PISTON, number="Q")
    assert larger.number != ordered.cylinders[0].piston.number
    pinned = CYLINDER.model_copy(update={"piston": "Q"})
    with pytest.raises(InputError, match="another piston was ordered"):
        check_same(job(cylinders=(pinned,)), ordered)
    kit = ordered.order[0].model_copy(update={"what": "kit", "number": "K", "source": "order"})
    with pytest.raises(InputError, match="a kit was ordered"):
        bought(ordered.model_copy(update={"order": (kit,)}), catalogue())


def test_command(run: Run, pump: Path) -> None:
    path = written(pump, "command", 'piston = "PP-050A"\npiston_size = 62.437\n')
    ran = run("arrived", path, "--ordered", pump / "ordered.json", "--show", "ordered")
    assert (ran.code, ran.err) == (0, "")
    assert "THE ORDERED PARTS SERVE" in ran.out
    assert "62.437" in ran.out
    assert "cylinder 1, groove 1: PR1-050 serves, end gap" in ran.out
    path = written(pump, "command2", 'piston = "PP-050A"\npiston_size = 62.700\n')
    ran = run("arrived", path, "--ordered", pump / "ordered.json")
    assert ran.code == 3
    for heading in ("ORDER AGAIN", "ORDER AGAIN, ", "Ordered, and not used"):
        assert heading in ran.out
    ran = run("arrived", path, "--ordered", pump / "ordered.json", "--json")
    assert ArrivedAnswer.model_validate_json(ran.out).status == "order again"


def test_bad_documents(run: Run, pump: Path, tmp_path: Path) -> None:
    bad = tmp_path / "bad.json"
    for text in ("{", "[]", '{"status": "proven best"}'):
        bad.write_text(text, encoding="utf-8")
        ran = run("arrived", PUMP, "--ordered", bad)
        assert ran.code == 2
        assert "no answer of a pick" in ran.err and "allowed: " in ran.err
    ran = run("arrived", PUMP, "--ordered", tmp_path / "none.json")
    assert ran.code == 2 and "there is no such file" in ran.err
    bad.write_text(to_json(service.pick(WORN_OUT)), encoding="utf-8")
    ran = run("arrived", PUMP, "--ordered", bad)
    assert ran.code == 2 and "nothing was ordered by it" in ran.err


def test_a_gap_that_keeps_its_limit_is_not_shown_below_it() -> None:
    gap, figures = Range(low=43_750, high=56_000), Figures("mm")
    assert kept_gap(gap, 43_750, figures) == "0.438 to 0.560"
    assert kept_gap(gap, 43_000, figures) == "0.437 to 0.560"
    assert kept_gap(gap, 43_760, figures) == "0.437 to 0.560"  # it does not keep it
    assert kept_gap(gap, None, figures) == "0.437 to 0.560"
    assert kept_gap(Range(low=43_745, high=43_745), 43_745, figures) == "0.438"
