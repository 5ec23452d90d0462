"""The command `plan`: report, document, exit codes, and what is refused."""

from __future__ import annotations

from pathlib import Path

from fitsolver.records.stages import StagesAnswer
from fitsolver.usecases import files as service

from .run import BRUSHSAW, LAUNCH, PUMP, WORN_OUT, Run


def test_report_and_document(run: Run) -> None:
    ran = run("plan", PUMP)
    assert (ran.code, ran.err) == (0, "")
    assert "rough hone" in ran.out
    ran = run("plan", LAUNCH, "--json")
    assert (ran.code, ran.err) == (0, "")
    assert StagesAnswer.model_validate_json(ran.out) == service.machining_plan(LAUNCH)
    assert "lengths in inches" in run("plan", PUMP, "--unit", "in").out


def test_nothing_fits(run: Run) -> None:
    ran = run("plan", WORN_OUT)
    assert (ran.code, ran.err) == (3, "")
    assert "why nothing fits" in ran.out


def test_nothing_is_overwritten(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "plan.txt"
    assert run("plan", BRUSHSAW, "--output", target).code == 0
    assert "nothing is cut" in target.read_text(encoding="utf-8")
    again = run("plan", BRUSHSAW, "--output", target)
    assert (again.code, again.out) == (2, "")


def test_bad_input_is_one_message(run: Run, tmp_path: Path) -> None:
    ran = run("plan", tmp_path / "none.toml")
    assert (ran.code, ran.out) == (2, "")
    assert "none.toml" in ran.err and "Traceback" not in ran.err
