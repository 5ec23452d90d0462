"""The counter's answer: what it says, in how many lines, and what it refuses."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from fitsolver import InputError, at_counter, counter, load
from fitsolver.records.counter import CounterAnswer, CounterLine
from fitsolver.records.figures import Figures
from fitsolver.reporting.counter_view import counter_said
from tests.unit.cli.run import BRUSHSAW, DEMOS

PUMP, LAUNCH = DEMOS / "pump", DEMOS / "launch"


def line(answer: CounterAnswer, oversize: int) -> CounterLine:
    return next(one for one in answer.lines if one.oversize == oversize)


def test_every_size_has_a_line_smallest_first_and_one_is_advised() -> None:
    answer = counter("p62", "62.31", catalogue=PUMP)
    assert [one.oversize for one in answer.lines] == [0, 25_000, 50_000, 75_000, 100_000]
    assert [one.advised for one in answer.lines] == [False, False, True, False, False]
    assert answer.advised == line(answer, 50_000).plan
    assert answer.bores[0].over == 31_000
    assert answer.bores[0].between == (6_225_000, 6_250_000)
    assert answer.larger.same and answer.larger.plan is not None
    assert answer.left_open == ("out-of-round", "taper", "the unworn reference", "scratches")


def test_larger_bores_are_named_where_their_work_differs() -> None:
    answer = counter("p62", "62.25", "62.47", catalogue=PUMP)
    assert answer.larger.plan is not None
    sizes = {(item.oversize, item.route) for item in answer.larger.plan.cylinders}
    said = counter_said(answer, Figures("mm")).larger
    assert len(sizes) == 2
    assert " in 1: " in said and " in 2: " in said


def test_a_finished_bore_fits_as_it_is() -> None:
    answer = counter("p62", "62.25", catalogue=PUMP)
    assert answer.advised is not None
    assert answer.advised.removal == 0
    assert not answer.advised.cylinders[0].machined


def test_the_launch_does_not_depend_on_how_a_size_is_written() -> None:
    ways = [("3.505",), ("3,505",), ("3.505in",), ("89.027", "mm"), ("+.005",)]
    answers = [counter("h35", *way, catalogue=LAUNCH) for way in ways]
    assert len({answer.model_dump_json() for answer in answers}) == 1


def test_in_stock_orders_nothing() -> None:
    answer = counter("p62", "62.31", catalogue=PUMP, in_stock=True)
    plans = [one.plan for one in answer.lines if one.plan is not None]
    assert plans
    assert all(plan.in_stock for plan in plans)
    assert all(item.source == "stock" for plan in plans for item in plan.order)


def test_kits_only_sells_no_part_that_a_kit_holds() -> None:
    _, parts = load(PUMP / "job.toml")
    held = {item.number for kit in parts.kits for item in kit.contents}
    loose = counter("p62", "62.31", catalogue=PUMP)
    answer = counter("p62", "62.31", catalogue=PUMP, kits_only=True)
    sold = {i.number for one in answer.lines if one.plan for i in one.plan.order}
    assert sold and not sold & held
    assert {i.number for one in loose.lines if one.plan for i in one.plan.order} & held


def test_a_job_with_readings_is_answered_without_its_own_parts() -> None:
    job, parts = load(PUMP / "job.toml")
    pinned = job.cylinders[1].model_copy(update={"piston": "PP-000A"})
    answer = at_counter(job.model_copy(update={"cylinders": (pinned,)}), parts)
    assert answer.advised is not None
    assert answer.advised.cylinders[0].piston != "PP-000A"
    assert all(item.source != "in hand" for item in answer.advised.order)


def test_a_plated_bore_that_no_route_takes_fits_as_it_is_or_not_at_all() -> None:
    job, parts = load(BRUSHSAW)
    answer = at_counter(job, parts)
    assert all(one.plan is None or one.plan.removal == 0 for one in answer.lines)


def test_the_catalogue_is_the_current_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(PUMP)
    assert counter("p62", "62.31").advised is not None


def test_else_that_of_the_shop_above(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.copytree(PUMP, tmp_path / "shelf")
    (tmp_path / "shelf" / "shop.toml").unlink()
    (tmp_path / "shop.toml").write_text(
        'format = 1\nname = "invented"\nunits = "mm"\ncatalogue = "shelf"\n', encoding="utf-8"
    )
    (tmp_path / "desk").mkdir()
    monkeypatch.chdir(tmp_path / "desk")
    assert counter("p62", "62.31").advised is not None


def test_without_any_it_says_what_to_do(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(InputError, match="no catalogue") as refused:
        counter("p62", "62.31")
    assert "--catalogue" in refused.value.allowed
    assert "intake" in refused.value.allowed


def test_a_family_without_clearance_is_refused_with_where_to_put_it(tmp_path: Path) -> None:
    shutil.copytree(PUMP, tmp_path / "shelf")
    sheet = tmp_path / "shelf" / "family.toml"
    first = sheet.read_text(encoding="utf-8").index("[[window]]")
    end = sheet.read_text(encoding="utf-8").index("[[gasket_place]]")
    text = sheet.read_text(encoding="utf-8")
    sheet.write_text(text[:first] + text[end:], encoding="utf-8")
    with pytest.raises(InputError, match="no window for: clearance, end gap 1") as refused:
        counter("p62", "62.31", catalogue=tmp_path / "shelf")
    assert "family.toml" in refused.value.allowed


def test_what_is_doubtful_of_the_parts_sold_is_told() -> None:
    """Pistons without grooves get no ring: the counter says so once."""
    job, parts = load(PUMP / "job.toml")
    bare = tuple(piston.model_copy(update={"grooves": ()}) for piston in parts.pistons)
    answer = at_counter(job, parts.model_copy(update={"pistons": bare}))
    (said,) = (one for one in answer.look_up if "no grooves given: no ring is chosen" in one)
    assert said.startswith("PP-")
    assert not counter("p62", "62.31", catalogue=PUMP).look_up
