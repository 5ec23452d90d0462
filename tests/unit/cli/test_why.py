"""The command `why`: its codes, its document, and a job that is not there."""

from __future__ import annotations

import json
from pathlib import Path

from .run import BRUSHSAW, WORN_OUT, Run


def test_nothing_fits_is_code_3_with_changes(run: Run) -> None:
    ran = run("why", WORN_OUT)
    assert (ran.code, ran.err) == (3, "")
    assert "rules in conflict" in ran.out
    assert "the route 'new liner' allowed" in ran.out


def test_a_plan_is_code_0_with_reasons(run: Run) -> None:
    ran = run("why", BRUSHSAW)
    assert (ran.code, ran.err) == (0, "")
    assert "other rings" in ran.out


def test_the_document_goes_to_a_new_file(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "why.json"
    assert run("why", WORN_OUT, "--json", "--output", target).code == 3
    assert json.loads(target.read_text(encoding="utf-8"))["status"] == "nothing fits"
    again = run("why", WORN_OUT, "--json", "--output", target)
    assert again.code == 2
    assert again.err.count("\n") == 1


def test_bad_input_is_one_message(run: Run, tmp_path: Path) -> None:
    ran = run("why", tmp_path / "none.toml")
    assert ran.code == 2
    assert "Traceback" not in ran.err


def test_when_the_time_is_over_it_says_so_with_code_4(run: Run) -> None:
    ran = run("why", WORN_OUT, "--time-limit", "0.001")
    assert (ran.code, ran.err) == (4, "")
    assert "before all changes were tried" in " ".join(ran.out.split())
    document = json.loads(run("why", WORN_OUT, "--time-limit", "0.001", "--json").out)
    assert (document["status"], document["complete"]) == ("nothing fits", False)
