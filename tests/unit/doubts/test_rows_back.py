"""What pick says of rows that are left out: never what the plan is, always what it would be."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.doubts.set_aside import put_back, trusted
from fitsolver.picking.decide import decide
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.usecases.loading import load

from ...bench.clean_tables import tables_of
from ..cli.run import BRUSHSAW, DEMOS, PUMP, Run, runner
from .demos import typed

JOB, CLEAN = load(PUMP)
LOOSE: Job = JOB.model_copy(update={"in_hand": ()})


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    return runner(monkeypatch, capsys)


def shelf(*cells: tuple[str, str, str, str]) -> Catalogue:
    return trusted(JOB, typed("pump", *cells))


def test_a_row_that_would_not_be_taken() -> None:
    answer = decide(JOB, shelf(("pistons", "PP-000A", "pin_diameter", "61.000")))
    (row,) = answer.left_out
    assert (row.number, row.kits) == ("PP-000A", ("PK-000A",))
    assert row.change == "with it the plan would be the same"
    assert answer.plan == decide(JOB, CLEAN).plan


def test_a_row_that_would_be_taken() -> None:
    left = shelf(("rings", "PR1-050", "gauge_diameter", "62.70"))
    answer = decide(JOB, left)
    (row,) = answer.left_out
    assert row.change.startswith("the plan with it would take PR1-050 in cylinder 1 at finish 62.")
    assert row.change.endswith("and remove the same")
    with_it = decide(JOB, put_back(left)).plan
    assert with_it is not None
    assert "PR1-050" in {ring.number for c in with_it.cylinders for ring in c.rings}
    assert answer.plan is not None
    assert "PR1-050" not in {line.number for line in answer.plan.order}


def test_a_row_that_would_make_a_plan() -> None:
    """Of the saw's base gaskets only one brings the squish into its window."""
    job, _ = load(BRUSHSAW)
    left = trusted(job, typed("brushsaw", ("gaskets", "BG-030", "tolerance", "0.04")))
    answer = decide(job, left)
    assert answer.status == "nothing fits"
    (row,) = answer.left_out
    assert row.number == "BG-030"
    assert row.change.startswith("with it there would be a plan, which would take BG-030 in cyl")


def test_not_compared_where_nobody_asks() -> None:
    left = shelf(("rings", "PR1-050", "gauge_diameter", "62.70"))
    assert decide(JOB, left, rows_back=False).left_out == ()


def _folder(tmp_path: Path, *cells: tuple[str, str, str, str]) -> Path:
    tables = tables_of(DEMOS / "pump")
    for table, number, column, text in cells:
        at = [row["number"] for row in tables.rows[table]].index(number)
        tables = tables.with_cell(table, at, column, text)
    tables.read(tmp_path)
    return tmp_path


def test_first_lines_and_acceptance_on_the_command_line(run: Run, tmp_path: Path) -> None:
    folder = _folder(tmp_path, ("rings", "PR1-050", "gauge_diameter", "62.70"))
    told = run("pick", PUMP, "--catalogue", folder)
    assert told.code == 0
    words = " ".join(told.out.split())
    assert words.index("row PR1-050 left out, and with it PK-050A, PK") < words.index("Rings ---")
    ids = ("--accept", "row PR1-050", "--accept", "row PK-050A", "--accept", "row PK-050B")
    accepted = run("pick", PUMP, "--catalogue", folder, *ids)
    assert accepted.code == 0
    assert "left out" not in accepted.out
    refused = run("pick", PUMP, "--catalogue", folder, "--accept", "row PR1-05O")
    assert refused.code == 2
    assert "no doubt has this id; found: row PR1-05O" in refused.err
    assert "Traceback" not in refused.err


@pytest.mark.parametrize("verb", ["fits", "why", "ladder", "pick"])
def test_other_answers_name_the_row(run: Run, tmp_path: Path, verb: str) -> None:
    folder = _folder(tmp_path, ("pistons", "PP-000A", "pin_diameter", "61.000"))
    words = " ".join(run(verb, PUMP, "--catalogue", folder).out.split())
    assert "row PP-000A" in words


def test_a_named_row_is_refused(run: Run, tmp_path: Path) -> None:
    folder = _folder(tmp_path, ("pistons", "PP-050B", "skirt_high", "62.642"))
    refused = run("pick", PUMP, "--catalogue", folder)  # the job has one in hand
    assert refused.code == 2
    assert "this figure is doubted:\n  row PP-050B" in refused.err
    assert 'accept = ["row PP-050B"]' in refused.err
