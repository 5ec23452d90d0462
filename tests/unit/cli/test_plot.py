"""The option `--plot`: a drawing beside the report, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from .run import LAUNCH, PUMP, WORN_OUT, Run, content

COMMANDS = ("pick", "bore", "plan", "ladder", "hone")


@pytest.mark.parametrize("command", COMMANDS)
def test_report_and_drawing(run: Run, tmp_path: Path, command: str) -> None:
    log = ("--log", tmp_path / "none.hone") if command == "hone" else ()
    plain = run(command, PUMP, *log)
    for ending, begin in (("svg", b"<?xml"), ("PNG", b"\x89PNG")):
        drawn = run(command, PUMP, *log, "--plot", tmp_path / f"drawing.{ending}")
        assert drawn == plain
        assert (tmp_path / f"drawing.{ending}").read_bytes().startswith(begin)


def test_unit_is_that_of_the_report(run: Run, tmp_path: Path) -> None:
    for command in ("bore", "pick", "plan", "ladder"):
        run(command, LAUNCH, "--unit", "mm", "--plot", tmp_path / f"{command}.svg")
        text = (tmp_path / f"{command}.svg").read_text(encoding="utf-8")
        assert "[mm]" in text and "[in]" not in text


@pytest.mark.parametrize("command", COMMANDS)
def test_other_endings_are_refused_before_any_work(run: Run, tmp_path: Path, command: str) -> None:
    for name in ("drawing.pdf", "drawing", "drawing.svg.gz"):
        ran = run(command, tmp_path / "no job", "--plot", tmp_path / name)
        assert (ran.code, ran.out) == (2, "")
        assert name in ran.err and "allowed: a name that ends in .svg or .png" in ran.err
    assert content(tmp_path) == {}


def test_nothing_is_overwritten(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "drawing.svg"
    target.write_text("mine", encoding="utf-8")
    ran = run("bore", PUMP, "--plot", target)
    assert (ran.code, ran.out) == (2, "") and "exists already" in ran.err
    assert content(tmp_path) == {"drawing.svg": b"mine"}
    same = tmp_path / "both.svg"
    ran = run("bore", PUMP, "--plot", same, "--output", same)
    assert ran.code == 2 and not same.exists()


@pytest.mark.parametrize("command", ["pick", "plan"])
def test_without_a_plan_nothing_is_drawn(run: Run, tmp_path: Path, command: str) -> None:
    ran = run(command, WORN_OUT, "--plot", tmp_path / "drawing.svg")
    assert ran.code == 3 and "why nothing fits" in ran.out
    assert "nothing to draw" in ran.err and content(tmp_path) == {}


def test_entering_at_the_hone_draws_nothing(run: Run, tmp_path: Path) -> None:
    ran = run("hone", PUMP, "--enter", "--plot", tmp_path / "drawing.svg")
    assert ran.code == 2 and content(tmp_path) == {}
