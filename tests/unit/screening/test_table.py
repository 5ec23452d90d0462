"""Whole tables: every format the same rows, bad rows named, nothing overwritten."""

from __future__ import annotations

import csv
import os
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from openpyxl import Workbook
from typer.testing import CliRunner

from fitsolver import InputError, screen
from fitsolver.base.lengths import parse_length
from fitsolver.cli.app import app
from fitsolver.picking.decide import decide
from fitsolver.reading import chunks as tables
from fitsolver.records.screening import ScreenAnswer
from fitsolver.screening import table as table_module
from fitsolver.screening.decided import Decided
from fitsolver.screening.equals import Choice
from fitsolver.screening.pattern import pattern
from fitsolver.screening.screen import choice_of
from fitsolver.screening.writing import table_writer
from fitsolver.usecases.loading import load

PUMP = Path(__file__).parents[3] / "catalogs_demo" / "pump"
LIKE = PUMP / "job.toml"
HEAD = ["name", "largest", "smallest", "scratch"]
ROWS = [
    ["a", "62.251", "62.250", ""],
    ["b", "62.31", "62.29", "0.02"],
    ["c", "62.9", "62.89", ""],
    ["d", "2.47 in", "62.70", "1 thou"],
    ["e", "70", "69.9", "9"],
]


def write(path: Path, rows: list[list[str]], head: list[str] = HEAD) -> Path:
    if path.suffix == ".csv":
        with path.open("w", encoding="utf-8", newline="") as stream:
            csv.writer(stream).writerows([head, *rows])
    elif path.suffix == ".xlsx":
        book = Workbook()
        sheet = book.active
        assert sheet is not None
        for row in [head, *rows]:
            sheet.append([cell or None for cell in row])
        book.save(path)
    else:
        pytest.importorskip("pyarrow")
        pd.DataFrame(rows, columns=head).to_parquet(path, index=False)
    return path


def screened(table: Path, **places: object) -> tuple[ScreenAnswer, list[dict[str, str]]]:
    out = table.with_name("out.csv")
    answer = screen(table, PUMP, LIKE, out=out, **places)  # type: ignore[arg-type]
    with out.open(encoding="utf-8", newline="") as stream:
        return answer, list(csv.DictReader(stream))


@pytest.mark.parametrize("kind", [".csv", ".xlsx", ".parquet"])
def test_every_row_is_what_pick_answers(tmp_path: Path, kind: str) -> None:
    answer, rows = screened(write(tmp_path / f"bores{kind}", ROWS))
    like = pattern(*load(LIKE, PUMP))
    assert [row["name"] for row in rows] == list("abcde")
    assert [row["row"] for row in rows] == list("12345")
    for given, row in zip(ROWS, rows, strict=True):
        largest, smallest, scratch = (parse_length(cell or "0", "mm") for cell in given[1:])
        expected = decide(like.row_job(largest, smallest, scratch, "iron"), like.catalogue)
        choice = choice_of(expected)
        assert row["piston"] == choice.piston
        assert row["rings"].split() == list(choice.rings)
        assert row["route"] == choice.route
        if expected.plan is None:
            assert row["answer"] == "nothing fits"
            assert not row["finish"] + row["removal"] + row["filing"] + row["price"] + row["days"]
            continue
        (cylinder,) = expected.plan.cylinders
        assert row["answer"] == "fits"
        assert parse_length(row["removal"], "mm") == cylinder.removal
        finish = cylinder.finish_large if cylinder.machined else largest
        assert parse_length(row["finish"], "mm") == finish
        assert parse_length(row["filing"], "mm") == sum(r.filing for r in cylinder.rings)
        assert row["price"] == f"{expected.plan.price / 100:.2f}"
        assert row["days"] == str(expected.plan.days)
    fitting = sum(row["answer"] == "fits" for row in rows)
    assert (answer.rows, answer.fits, answer.nothing_fits) == (5, fitting, 5 - fitting)
    assert sum(share.bores for share in answer.pistons) == fitting


def test_parquet_says_the_same_exactly(tmp_path: Path) -> None:
    pytest.importorskip("pyarrow")
    table = write(tmp_path / "bores.csv", ROWS)
    _, rows = screened(table)
    screen(table, PUMP, LIKE, out=tmp_path / "out.parquet")
    frame = pd.read_parquet(tmp_path / "out.parquet")
    assert list(frame.columns) == list(rows[0])
    for title in frame.columns:
        found = ["" if pd.isna(value) else str(value) for value in frame[title]]
        assert [text.removesuffix(".0") if title == "days" else text for text in found] == [
            row[title] for row in rows
        ]


def test_units_stand_in_the_header(tmp_path: Path) -> None:
    table = tmp_path / "bores.csv"
    table.write_text("Bore [in];other\n2.45;x\n62.25 mm;y\n", encoding="utf-8")
    answer, rows = screened(table)
    assert answer.rows == 2
    assert rows[0]["answer"] == "fits"
    assert "name" not in rows[0]


def test_pieces_change_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    bores = [["", str(62 + step / 50), str(62 + step / 50), ""] for step in range(40)]
    table = write(tmp_path / "bores.csv", bores)
    _, whole = screened(table)
    (tmp_path / "out.csv").unlink()
    monkeypatch.setattr(tables, "ROWS", 7)
    _, pieces = screened(table, workers=2)
    assert pieces == whole


BAD = [
    (["", "", "62.1", ""], "largest", "empty"),
    (["", "62.1", "abc", ""], "smallest", "'abc' is not a number"),
    (["", "62.1", "62.2", ""], "smallest", "the smallest size is above the largest"),
    (["", "62.1", "-62", ""], "smallest", "a bore is above 0"),
    (["", "62.1", "62", "-0.1"], "scratch", "a depth is not below 0"),
    (["", "62.1234567", "62", ""], "largest", "'62.1234567' is finer than the grid"),
    (["", "62123", "62", ""], "largest", "'62123' is longer than ten metres"),
]


@pytest.mark.parametrize(("row", "field", "reason"), BAD)
def test_the_first_bad_row_ends_it(tmp_path: Path, row: list[str], field: str, reason: str) -> None:
    table = write(tmp_path / "bores.csv", [ROWS[0], row])
    with pytest.raises(InputError) as caught:
        screened(table)
    assert (caught.value.row, caught.value.field) == (2, field)
    assert caught.value.message.startswith(reason)
    assert not (tmp_path / "out.csv").exists()


def test_bad_rows_are_set_aside(tmp_path: Path) -> None:
    table = write(tmp_path / "bores.csv", [row for row, _, _ in BAD] + ROWS)
    bad = tmp_path / "bad.csv"
    answer, rows = screened(table, bad_rows=bad)
    assert (answer.status, answer.bad, answer.rows) == ("bad rows", 7, 12)
    assert answer.first_bad is not None
    assert (answer.first_bad.row, answer.first_bad.field) == (1, "largest")
    assert [row["answer"] for row in rows[:7]] == ["bad row"] * 7
    assert rows[7]["answer"] == "fits"
    with bad.open(encoding="utf-8", newline="") as stream:
        named = list(csv.DictReader(stream))
    assert [(line["row"], line["field"]) for line in named] == [
        (str(at), field) for at, (_, field, _) in enumerate(BAD, 1)
    ]


REFUSED = [
    ("bores.txt", "bore\n62\n", "no such table"),
    ("bores.csv", "size\n62\n", "a column is missing"),
    ("bores.csv", "largest\n62\n", "a column is missing"),
    ("bores.csv", "bore,largest\n62,62\n", "a bore has one size or two"),
    ("bores.csv", "bore,bore\n62,62\n", "there twice"),
    ("bores.csv", "bore [furlong]\n62\n", "unknown unit"),
    ("bores.csv", "bore\n", "no rows"),
    ("bores.csv", "", "a column is missing"),
    ("bores.csv", "bore,x\n62,1\n62,1,2,3\n", "cannot be read"),
    ("bores.csv", "largest,smallest\n62,31,62,29\n", "row 1: this row has more cells"),
    ("bores.csv", "bore,x;y\n62,1\n", "separated in two ways"),
    ("bores.parquet", "bore\n62\n", "cannot be read"),
    ("bores.xlsx", "bore\n62\n", "not a workbook"),
]


@pytest.mark.parametrize(("name", "content", "message"), REFUSED)
def test_a_table_that_is_none(tmp_path: Path, name: str, content: str, message: str) -> None:
    table = tmp_path / name
    table.write_text(content, encoding="utf-8")
    with pytest.raises(InputError, match=message):
        screen(table, PUMP, LIKE, out=tmp_path / "out.csv")
    assert not (tmp_path / "out.csv").exists()


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    table = write(tmp_path / "bores.csv", ROWS)
    before = table.read_bytes()
    for places in ({"out": table}, {"bad_rows": table}, {"out": tmp_path / "out.txt"}):
        with pytest.raises(InputError):
            screen(table, PUMP, LIKE, **places)
    assert table.read_bytes() == before
    with pytest.raises(InputError, match="no such file"):
        screen(tmp_path / "none.csv", PUMP, LIKE)


def test_the_command(tmp_path: Path) -> None:
    table = write(tmp_path / "bores.csv", ROWS)
    done = CliRunner().invoke(app, ["screen", str(table), str(PUMP), "--like", str(LIKE)])
    assert done.exit_code == 0
    assert "piston  " in done.stdout
    bad = write(tmp_path / "bad.csv", [BAD[0][0]])
    aside = str(tmp_path / "aside.csv")
    command = ["screen", str(bad), str(PUMP), "--like", str(LIKE)]
    assert CliRunner().invoke(app, command).exit_code == 2
    assert CliRunner().invoke(app, [*command, "--bad-rows", aside]).exit_code == 2
    assert Path(aside).exists()
    shown = CliRunner().invoke(
        app, ["screen", str(table), str(PUMP), "--like", str(LIKE), "--json"]
    )
    assert ScreenAnswer.model_validate_json(shown.stdout).rows == 5


@pytest.mark.skipif(sys.platform == "win32", reason="permissions")
@pytest.mark.skipif(hasattr(os, "geteuid") and os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_takes_no_file(tmp_path: Path) -> None:
    table = write(tmp_path / "bores.csv", ROWS)
    closed = tmp_path / "closed"
    closed.mkdir(mode=0o500)
    with pytest.raises(InputError, match="permission"):
        screen(table, PUMP, LIKE, out=closed / "out.csv")


def test_what_cannot_be_a_pattern() -> None:
    job, parts = load(LIKE, PUMP)
    other = job.model_copy(update={"best": ("price",)})
    with pytest.raises(InputError, match="removal first"):
        pattern(other, parts)


@pytest.mark.parametrize("kind", [".csv", ".parquet"])
def test_one_or_two_workers_write_the_same_bytes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str
) -> None:
    pytest.importorskip("pyarrow")
    monkeypatch.setattr(tables, "ROWS", 1_000)
    steps = range(9_500)
    sizes = [f"{62 + n % 983 / 500:.3f}" for n in steps]
    rows = [[f"b{n % 77}", sizes[n], sizes[n], ""] for n in steps]
    table = write(tmp_path / "bores.parquet", rows)
    for workers in (1, 2):
        screen(table, PUMP, LIKE, out=tmp_path / f"{workers}{kind}", workers=workers)
    assert (tmp_path / f"1{kind}").read_bytes() == (tmp_path / f"2{kind}").read_bytes()


def test_two_cores_start_no_second_worker(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tables, "ROWS", 2)
    asked: list[int | None] = []

    def run(work: Any, chunks: Any, _: Any, workers: int | None) -> Any:
        asked.append(workers)
        return map(work, chunks)

    monkeypatch.setattr(table_module, "run", run)
    table = write(tmp_path / "bores.csv", ROWS)
    for cores, workers in ((2, None), (4, None), (2, 2)):
        monkeypatch.setattr(table_module, "cores", lambda cores=cores: cores)
        screen(table, PUMP, LIKE, workers=workers)
    assert asked == [1, None, 2]


def test_parquet_is_the_same_whatever_was_decided_before(tmp_path: Path) -> None:
    """Another process may know choices in another order: that is no part of the table."""
    pytest.importorskip("pyarrow")
    known = [
        Choice(piston=name, rings=(f"R{name}",), route="hone", price=100, days=1) for name in "ABC"
    ]
    figures = np.array([100, 200, 300, 0], np.int64)
    written = []
    for order in ((0, 1, 2), (2, 0, 1)):
        codes = np.array([*(order.index(at) for at in (1, 0, 1)), -1], np.int64)
        choices = [known[at] for at in order]
        path = tmp_path / f"{len(written)}.parquet"
        with table_writer(path) as write:
            write(Decided(1, codes, choices, figures, figures, figures, []), None)
        written.append(path.read_bytes())
    assert written[0] == written[1]
