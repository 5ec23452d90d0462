"""Tables in and out of a pairing, through the library and the command."""

from __future__ import annotations

import json
import subprocess
import sys
from decimal import Decimal
from pathlib import Path
from random import Random

import openpyxl
import pandas as pd
import pytest

from fitsolver import pair, pair_measured
from fitsolver.base.errors import InputError
from fitsolver.pairing import answer as telling
from fitsolver.pairing import read
from fitsolver.records.pairing import MeasuredBore, MeasuredPiece, PairAnswer
from fitsolver.reporting.schema import to_json

BORES = "name,bore\n1,74.000\n2,74.001\n3,74.010\n4,74.011\n"
PIECES = "number,piece,size\nP,a,73.954\nP,b,73.955\nP,c,73.953\nP,d,73.964\n"


def asked(folder: Path, bores: str = BORES, pieces: str = PIECES, **more: object) -> PairAnswer:
    (folder / "bores.csv").write_text(bores, encoding="utf-8")
    (folder / "pieces.csv").write_text(pieces, encoding="utf-8")
    window = {"low": "0.044", "high": "0.048"} if "like" not in more else {}
    return pair(folder / "bores.csv", folder / "pieces.csv", **{**window, **more})  # type: ignore[arg-type]


def run(*arguments: str | Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "fitsolver", "pair", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_pairs_and_what_is_short(tmp_path: Path) -> None:
    answer = asked(tmp_path)
    made = {(each.bore.name, each.piece.piece): each.off_middle for each in answer.pairs}
    assert made == {("1", "a"): 0, ("2", "b"): 0, ("3", "d"): 0}
    assert answer.status == "bores left over"
    assert [short.sentence for short in answer.shortages] == [
        "2 needed, 1 there (73.964 mm), 1 left over: bores 3 and 4 (74.010 to 74.011 mm) take "
        "pieces of 73.962 to 73.967 mm; one piece more of that size would serve one more of them",
        "3 needed, 2 there (74.000 to 74.001 mm), 1 left over: pieces P c, P a and P b (73.953 to "
        "73.955 mm) take bores of 73.997 to 74.003 mm; one bore more of that size would serve one "
        "more of them",
    ]


@pytest.mark.parametrize(
    ("size", "paired"), [("73.96199", 3), ("73.962", 4), ("73.967", 4), ("73.96701", 3)]
)
def test_one_piece_more_of_that_size_serves_one_more(
    tmp_path: Path, size: str, paired: int
) -> None:
    assert asked(tmp_path, pieces=f"{PIECES}P,e,{size}\n").paired == paired


def test_the_order_of_rows_never_tells(tmp_path: Path) -> None:
    dice = Random(5)
    bores = [f"b{at},{74 + dice.randrange(12) / 1000:.3f}\n" for at in range(40)]
    pieces = [f"P,{at},{73.95 + dice.randrange(16) / 1000:.3f}\n" for at in range(40)]
    told = set()
    for turn in range(6):
        folder = tmp_path / str(turn)
        folder.mkdir()
        dice.shuffle(bores)
        dice.shuffle(pieces)
        answer = asked(
            folder, "name,bore\n" + "".join(bores), "number,piece,size\n" + "".join(pieces)
        )
        told.add(frozenset((each.bore.name, each.piece.piece) for each in answer.pairs))
    assert len(told) == 1


def test_grades_must_match(tmp_path: Path) -> None:
    """Both bores are 74; each takes the piece of its own grade, however near the other is."""
    answer = asked(
        tmp_path,
        "name,bore,grade\n1,74.000,A\n2,74.000,B\n3,74.000,B\n",
        "number,size,grade\nP,73.952,A\nQ,73.954,B\nR,73.954,C\n",
    )
    assert {(each.bore.name, each.piece.number) for each in answer.pairs} == {
        ("1", "P"),
        ("2", "Q"),
    }
    assert answer.largest_deviation == 400
    assert "pieces of grade B of" in answer.shortages[0].sentence


@pytest.mark.parametrize("kind", [".csv", ".xlsx", ".parquet"])
def test_tables_of_every_kind(tmp_path: Path, kind: str) -> None:
    """Written out, and read back as the figures they are."""
    frames = {
        "bores": pd.DataFrame({"name": ["x", "y"], "bore [in]": ["2.9", "2.91"]}),
        "pieces": pd.DataFrame(
            {"number": ["P", "Q"], "size": ["73.6141", "75"], "note": ["", "n"]}
        ),
    }
    paths = {}
    for name, frame in frames.items():
        paths[name] = tmp_path / f"{name}{kind}"
        if kind == ".csv":
            frame.to_csv(paths[name], index=False)
        elif kind == ".xlsx":
            frame.to_excel(paths[name], index=False)
        else:
            frame.to_parquet(paths[name])
    out = tmp_path / f"out{kind}"
    answer = pair(paths["bores"], paths["pieces"], low="0.044", high="0.048", out=out)
    assert answer.paired == 1
    if kind == ".csv":
        rows = pd.read_csv(out, dtype=str, keep_default_na=False).to_numpy().tolist()
    elif kind == ".parquet":
        rows = pd.read_parquet(out).to_numpy().tolist()
    else:
        sheet = openpyxl.load_workbook(out).active
        assert sheet is not None
        rows = [list(row) for row in sheet.iter_rows(min_row=2, values_only=True)]
    assert [row[:2] for row in rows[:2]] == [["paired", "x"], ["bore left over", "y"]]
    # 2.9 in is 73.66 mm; 0.0459 is 0.0001 under the middle.
    assert [Decimal(str(value)) for value in (rows[0][2], rows[0][7], rows[0][8])] == [
        Decimal("73.66"),
        Decimal("0.0459"),
        Decimal("-0.0001"),
    ]
    assert rows[2][0] == "piece left over"
    assert rows[2][9]


def test_large_csv_files_are_read_alike(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    small_read = asked(tmp_path)
    monkeypatch.setattr(read, "LARGEST", 10)
    assert asked(tmp_path) == small_read
    with pytest.raises(InputError, match=r"row 3, field 'bore': 'x' is not a number"):
        asked(tmp_path, bores="name,bore\n1,74\n2,x\n")


def test_like_takes_the_window_of_a_job_with_its_guard(tmp_path: Path) -> None:
    demo = Path("catalogs_demo/brushsaw/job.toml")
    answer = asked(tmp_path, like=demo)
    assert answer.like is not None
    assert answer.window.low < answer.window.high
    with pytest.raises(InputError, match="per unit of bore needs a nominal bore"):
        asked(tmp_path, like=Path("catalogs_demo/pump/job.toml"))
    with pytest.raises(InputError, match="different clearance windows"):
        asked(tmp_path, like=Path("catalogs_demo/launch/job.toml"))


def test_a_lowest_clearance_below_zero(tmp_path: Path) -> None:
    answer = asked(tmp_path, "name,bore\n1,74\n", "number,size\nP,74.005\n", low="-0.010", high="0")
    assert (answer.paired, answer.largest_deviation) == (1, 0)


@pytest.mark.parametrize(
    ("bores", "pieces", "more", "told"),
    [
        ("name,bore\n", PIECES, {}, "no rows"),
        (BORES.replace("2,", "1,"), PIECES, {}, "row 3, field 'name': is there twice: row 2"),
        (BORES.replace("74.001", "-74"), PIECES, {}, "row 3, field 'bore': a size is above zero"),
        (BORES.replace("74.001", ""), PIECES, {}, "row 3, field 'bore': a size is missing"),
        (BORES.replace("74.001", "74.0000001"), PIECES, {}, "finer than the grid"),
        (BORES.replace("bore", "bore [ft]"), PIECES, {}, "unknown unit"),
        (BORES.replace("name,bore", "name,brore"), PIECES, {}, "did you mean 'bore'"),
        (BORES, PIECES.replace("P,b", "P,a"), {}, "row 3, field 'piece': is there twice"),
        (BORES, PIECES.replace("P,b", ",b"), {}, "row 3, field 'number': a number is missing"),
        (BORES, PIECES.replace("size", "size [in]"), {}, "a wrong unit"),
        (BORES, PIECES, {"low": "0.05"}, "lowest clearance is above its highest"),
        (BORES, PIECES, {"low": None}, "a lowest and a highest clearance"),
        (BORES, PIECES, {"low": "wide"}, "is not a number"),
        (BORES.replace("2,74.001", "2"), PIECES, {}, "not one cell for each column"),
        ("name,bore,grade\n1,74,A\n", PIECES, {}, "this one has none"),
        ("name,bore,grade\n1,74,A\n2,74,\n", PIECES, {}, "row 3, field 'grade'"),
    ],
)
def test_bad_input_is_one_message(
    tmp_path: Path, bores: str, pieces: str, more: dict[str, object], told: str
) -> None:
    out = tmp_path / "out.csv"
    with pytest.raises(InputError) as refused:
        asked(tmp_path, bores, pieces, out=out, **more)
    assert told in str(refused.value)
    assert not out.exists()


def test_all_wrong_cells_are_told_together(tmp_path: Path) -> None:
    bores = "name,bore\n1,x\n2,0\n2,74\n"
    with pytest.raises(InputError) as refused:
        asked(tmp_path, bores)
    lines = str(refused.value).split("\n")
    assert lines[0] == "3 cells are refused:"
    assert [line.split(", ")[1] for line in lines[1:]] == ["row 2", "row 3", "row 4"]
    with pytest.raises(InputError) as refused:
        asked(tmp_path, bores, PIECES.replace("73.955", "y"))
    assert "pieces.csv, row 3, field 'size': 'y' is not a number" in str(refused.value)
    assert "3 cells are refused:" in str(refused.value)


def test_long_tables_are_listed_in_the_table_only(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(telling, "MOST_LISTED", 7)
    answer = asked(tmp_path, out=tmp_path / "out.csv")
    assert not answer.listed
    assert not answer.pairs
    assert answer.paired == 3
    assert len((tmp_path / "out.csv").read_text().splitlines()) == 6


def test_a_name_is_no_formula(tmp_path: Path) -> None:
    asked(tmp_path, BORES.replace("1,74.000", "=1+1,74.000"), out=tmp_path / "out.csv")
    assert "paired,'=1+1," in (tmp_path / "out.csv").read_text()


def test_records_give_what_tables_give(tmp_path: Path) -> None:
    answer = asked(tmp_path)
    made = pair_measured(
        [
            MeasuredBore(name=str(at), size=7_400_000 + s)
            for at, s in enumerate((0, 100, 1000, 1100), 1)
        ],
        [
            MeasuredPiece(number="P", piece=mark, size=7_395_000 + size)
            for mark, size in (("a", 400), ("b", 500), ("c", 300), ("d", 1400))
        ],
        4_400,
        4_800,
    )
    assert made.shortages == answer.shortages
    assert [each.off_middle for each in made.pairs] == [each.off_middle for each in answer.pairs]


def test_time_that_ends_gives_the_best_found(tmp_path: Path) -> None:
    answer = asked(tmp_path, time_limit=1e-9)
    assert answer.status == "best found"
    assert answer.paired == 3
    assert answer.largest_deviation_bound <= answer.largest_deviation


def test_the_command_and_its_exit_codes(tmp_path: Path) -> None:
    asked(tmp_path)
    files = (tmp_path / "bores.csv", tmp_path / "pieces.csv")
    window = ("--low", "0.044", "--high", "0.048")
    short = run(*files, *window, "--json")
    assert short.returncode == 3
    assert short.stdout == to_json(pair(*files, low="0.044", high="0.048"))
    (tmp_path / "two.csv").write_text("name,bore\n1,74.000\n2,74.001\n")
    served = run(tmp_path / "two.csv", files[1], *window)
    assert (served.returncode, "PROVEN BEST" in served.stdout) == (0, True)
    assert run(*files, "--low", "-0.01", "--high", "0.048").returncode == 3
    refused = run(*files, "--low", "1", "--high", "0", "--out", tmp_path / "out.csv")
    assert refused.returncode == 2
    assert not (tmp_path / "out.csv").exists()
    assert run(*files, *window, "--time-limit", "0.001", "--json").returncode in (3, 4)
    assert json.loads(run(*files, *window, "--json").stdout)["paired"] == 3
