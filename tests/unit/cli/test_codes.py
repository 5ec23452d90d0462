"""Exit codes, and what is written where."""

from __future__ import annotations

import csv
import json
from io import StringIO
from pathlib import Path

import pytest

from .run import BRUSHSAW, LARGE, LAUNCH, PUMP, WORN_OUT, Run, content, process

COMMANDS = (
    ("pick", PUMP),
    ("bore", PUMP),
    ("fits", BRUSHSAW),
    ("catalogue", PUMP.parent),
)


@pytest.mark.parametrize(
    ("args", "code"),
    [
        (("pick", PUMP), 0),
        (("pick", LAUNCH), 0),
        (("pick", WORN_OUT), 3),
        (("pick", PUMP, "-c", BRUSHSAW.parent), 2),
        (("pick", "nosuch.toml"), 2),
        (("bore", WORN_OUT), 0),
        (("fits", BRUSHSAW), 0),
        (("fits", WORN_OUT), 3),
        (("catalogue", PUMP.parent), 0),
        (("catalogue", PUMP), 2),
        (("pikc", PUMP), 2),
        (("pick",), 2),
        (("pick", PUMP, "--unit", "cm"), 2),
        (("pick", PUMP, "--time-limit", "0"), 2),
        (("pick", PUMP, "--time-limit", "nan"), 2),
        (("fits", BRUSHSAW, "--first", "-1"), 2),
        (("--version",), 0),
    ],
)
def test_exit_code(run: Run, args: tuple[object, ...], code: int) -> None:
    ran = run(*args)
    assert ran.code == code, ran.err
    assert bool(ran.out) == (code != 2)
    assert bool(ran.err) == (code == 2)


def test_one_cylinder_that_no_set_fits_is_enough(run: Run) -> None:
    ran = run("fits", PUMP, "--json")
    held = {item["cylinder"]: False for item in json.loads(ran.out)["sets"]}
    for item in json.loads(ran.out)["sets"]:
        held[item["cylinder"]] |= item["holds"]
    assert held == {"1": True, "2": False}
    assert ran.code == 3


def test_time_runs_out() -> None:
    ran = process("-c", LARGE.format(cylinders=4, pistons=400), "--time-limit", "0.001", "--json")
    assert ran.code == 4, ran.err
    assert json.loads(ran.out)["status"] in ("best found", "undecided")


@pytest.mark.parametrize(("args", "code"), [((PUMP,), 0), ((WORN_OUT,), 3)])
def test_json_is_always_the_document(run: Run, args: tuple[object, ...], code: int) -> None:
    ran = run("pick", *args, "--json")
    answer = json.loads(ran.out)
    assert ran.code == code
    assert (answer["plan"] is None, answer["no_fit"] is None) == (code == 3, code == 0)
    assert ran.out == run("pick", *args, "--json").out


@pytest.mark.parametrize("command", COMMANDS, ids=lambda item: item[0])
def test_every_command_has_a_document(run: Run, command: tuple[str, Path]) -> None:
    assert json.loads(run(*command, "--json").out)["schema_version"] >= 1


def test_csv_is_the_order_list(run: Run) -> None:
    plain = json.loads(run("pick", PUMP, "--json").out)["plan"]["order"]
    rows = list(csv.DictReader(StringIO(run("pick", PUMP, "--csv").out)))
    assert [(row["number"], int(row["count"])) for row in rows] == [
        (line["number"], line["count"]) for line in plain
    ]


def test_csv_of_nothing_is_nothing(run: Run, tmp_path: Path) -> None:
    """Whoever reads a table never gets prose; the reasons go to standard error."""
    ran = run("pick", WORN_OUT, "--csv")
    assert (ran.code, ran.out) == (3, "")
    assert " short" in ran.err
    ran = run("pick", WORN_OUT, "--csv", "-o", tmp_path / "order.csv")
    assert (ran.code, ran.out, content(tmp_path)) == (3, "", {})


def test_json_and_csv_exclude_each_other(run: Run) -> None:
    ran = run("pick", PUMP, "--json", "--csv")
    assert (ran.code, ran.out) == (2, "")
    assert "--json and --csv exclude each other" in ran.err


@pytest.mark.parametrize("command", COMMANDS, ids=lambda item: item[0])
def test_units(run: Run, command: tuple[str, Path]) -> None:
    words = {"mm": "mm", "um": "µm", "in": "inches", "thou": "thousandths of an inch"}
    shown = {unit: run(*command, "--unit", unit) for unit in words}
    assert len({ran.out for ran in shown.values()}) == 4
    for unit, ran in shown.items():
        assert f"lengths in {words[unit]}" in " ".join(ran.out.split())
        assert "on diameter" in " ".join(ran.out.split())
    assert len({ran.code for ran in shown.values()}) == 1


@pytest.mark.parametrize("command", COMMANDS, ids=lambda item: item[0])
@pytest.mark.parametrize("kind", [(), ("--json",)])
def test_output_is_plain_text(
    run: Run, tmp_path: Path, command: tuple[str, Path], kind: tuple[str, ...]
) -> None:
    file = tmp_path / "report.txt"
    ran = run(*command, *kind, "-o", file)
    text = file.read_text(encoding="utf-8")
    assert (ran.out, ran.err) == ("", "")
    assert "\x1b" not in text
    assert max(map(len, text.splitlines())) <= 100 or kind
    if kind:
        assert text == run(*command, *kind).out


@pytest.mark.parametrize("command", COMMANDS, ids=lambda item: item[0])
def test_nothing_is_overwritten(run: Run, tmp_path: Path, command: tuple[str, Path]) -> None:
    (tmp_path / "there.txt").write_text("mine")
    (tmp_path / "folder").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "nowhere")
    before = content(tmp_path)
    for name, allowed in {
        "there.txt": "allowed: a new file",
        "folder": "this folder exists already",
        "link": "allowed: a new file",
        "nosuch/report.txt": "there is no such folder",
        "there.txt/report.txt": "this is a file; allowed: a folder",
        "x" * 300: "cannot be written",
    }.items():
        ran = run(*command, "-o", tmp_path / name)
        assert (ran.code, ran.out) == (2, ""), name
        assert allowed in ran.err
        assert ran.err.startswith(f"fitsolver: {tmp_path}")
    assert content(tmp_path) == before


def test_a_failed_write_leaves_nothing(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk is full after the file was made."""
    file = tmp_path / "report.txt"
    opened = Path.open

    def full(path: Path, *args: object, **more: object) -> object:
        stream = opened(path, *args, **more)  # type: ignore[arg-type]
        if path.parent == file.parent and path.name.startswith(f".{file.name}"):
            stream.close()
            return FullStream()
        return stream

    monkeypatch.setattr(Path, "open", full)
    ran = run("bore", PUMP, "-o", file)
    assert ran.code == 2
    assert "No space left" in ran.err
    assert content(tmp_path) == {}


class FullStream:
    """A file on a disk that is full."""

    def __enter__(self) -> FullStream:
        return self

    def __exit__(self, *_: object) -> None:
        pass

    def write(self, content: bytes) -> None:
        raise OSError(28, "No space left on device")
