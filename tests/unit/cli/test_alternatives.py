"""The command `alternatives`: report, document, exit codes."""

from __future__ import annotations

import json

import pytest

from .run import Run

PUMP = "catalogs_demo/pump/job.toml"


def test_report_shows_plans_and_front(run: Run) -> None:
    ran = run("alternatives", PUMP, "--count", "2", "--front")
    assert (ran.code, ran.err) == (0, "")
    assert "PROVEN: the best 2 plans" in ran.out
    assert "What each takes in place of the best" in ran.out
    assert "Plan 3" not in ran.out
    assert "Front between total removal, price and days" in ran.out


def test_document_holds_what_was_asked_for(run: Run) -> None:
    document = json.loads(run("alternatives", PUMP, "--json").out)
    assert [plan["rank"] for plan in document["plans"]] == [1, 2, 3, 4, 5]
    assert document["front"] is None


def test_nothing_fits_has_its_exit_code(run: Run) -> None:
    ran = run("alternatives", "catalogs_demo/pump/worn_out.toml", "--front")
    assert ran.code == 3
    assert "NOTHING FITS" in ran.out


def test_no_time_is_not_proven(run: Run) -> None:
    ran = run("alternatives", "catalogs_demo/launch/job.toml", "--time-limit", "0.001")
    assert ran.code == 4
    assert "UNDECIDED" in ran.out


@pytest.mark.parametrize("options", [("--count", "0"), ("--count", "x"), ("--time-limit", "0")])
def test_bad_options_are_refused(run: Run, options: tuple[str, ...]) -> None:
    ran = run("alternatives", PUMP, *options)
    assert ran.code == 2
    assert options[0] in ran.err
    assert "Traceback" not in ran.err


def test_the_best_plans_stand_above_the_front(run: Run) -> None:
    shown = run("alternatives", PUMP, "--count", "1", "--front").out
    assert "PROVEN: the best plan, checked without the solver." in " ".join(shown.split())
    assert shown.index("The best plans, what matters") < shown.index("Front between")
