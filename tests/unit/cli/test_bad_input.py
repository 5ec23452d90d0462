"""Bad input: one message, exit code 2, no traceback, nothing written."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from ..reading.files import CYLINDER, TABLES, catalogue_files, job_file, workbook
from ..reading.files import HEAD as BARE
from .run import Run, content

HEAD = f'{BARE}no_window = ["clearance", "end_gap", "out_of_round", "taper"]\n'
READINGS_FILE = 'readings_file = "readings.csv"'
BY_SHEET = f'{HEAD}\n[[cylinder]]\nname = "1"\nmaterial = "iron"\n{READINGS_FILE}\n'
SHEET = (
    "cylinder,depth,axis,diameter\n"
    "1,10,thrust,62.10\n1,10,pin,62.08\n1,40,thrust,62.07\n1,40,pin,62.06\n"
)


def job(text: str = HEAD + CYLINDER, **files: str) -> Callable[[Path], None]:
    """A job file, and sheets beside it."""

    def build(folder: Path) -> None:
        job_file(folder, text)
        catalogue_files(folder)
        for name, sheet in files.items():
            (folder / f"{name}.csv").write_bytes(sheet.encode())

    return build


def sheet(text: str) -> Callable[[Path], None]:
    """A job that has its readings in a sheet."""
    return job(BY_SHEET, readings=text)


def shelf(table: str, old: str, new: str) -> Callable[[Path], None]:
    """A catalogue with a change in one table."""

    def build(folder: Path) -> None:
        assert old in TABLES[f"{table}.csv"]
        job_file(folder, HEAD + CYLINDER)
        catalogue_files(folder, **{table: TABLES[f"{table}.csv"].replace(old, new)})

    return build


def broken(change: Callable[[Path], object]) -> Callable[[Path], None]:
    """Good files, one of which is then broken."""

    def build(folder: Path) -> None:
        job()(folder)
        change(folder)

    return build


def book(rows: list[list[object]], merge: str = "") -> Callable[[Path], None]:
    """A job that has its readings in a workbook."""

    def build(folder: Path) -> None:
        job(BY_SHEET.replace("readings.csv", "readings.xlsx"))(folder)
        workbook(folder / "readings.xlsx", rows, merge)

    return build


def huge(path: Path) -> None:
    """A file of 1 GB, of which nothing is on the disk."""
    with path.open("r+b") as stream:
        stream.truncate(1_000_000_000)


def folder_in_place_of(path: Path) -> None:
    path.unlink()
    path.mkdir()


def file_in_place_of(folder: Path) -> None:
    for path in folder.iterdir():
        path.unlink()
    folder.rmdir()
    folder.write_text("x")


def window(low: str, high: str) -> str:
    return f'\n[[window]]\nfit = "clearance"\nlow = {low}\nhigh = {high}\n'


ROWS: list[list[object]] = [
    ["cylinder", "depth", "axis", "diameter"],
    ["1", 10, "thrust", 62.1],
    ["1", 10, "pin", 62.08],
]

#: What is wrong, how it comes about, and what the message has to name.
CASES: dict[str, tuple[Callable[[Path], None], tuple[str, ...]]] = {
    "missing column": (
        shelf("pistons", "skirt_high", "skirt_hihg"),
        ("pistons.csv", "row 1", "skirt_hihg", "allowed: "),
    ),
    "extra column": (
        shelf("gaskets", "tolerance\nG-1,head,0.6,0.1,0.02", "tolerance,hue\nG-1,head,0.6,0.1,0,1"),
        ("gaskets.csv", "row 1", "hue", "allowed: "),
    ),
    "wrong unit of the file": (
        job(HEAD.replace("mm", "cm") + CYLINDER),
        ("job.toml", "field 'units'", "found: cm", "allowed: mm, um, in, thou"),
    ),
    "wrong unit in a cell": (
        shelf("rings", "1,62,0.2", "1,62 furlong,0.2"),
        ("rings.csv", "row 2", "gauge_diameter", "found: 62 furlong", "allowed: "),
    ),
    "ambiguous decimal comma": (
        sheet(SHEET.replace("62.10", '"62,10"')),
        ("readings.csv", "row 2", "field 'diameter'", "found: 62,10", "allowed: "),
    ),
    "NaN in TOML": (
        job((HEAD + CYLINDER).replace("62.10", "nan")),
        ("job.toml", "cylinder '1', reading 1", "field 'size'", "found: NaN", "allowed: "),
    ),
    "NaN in a sheet": (
        sheet(SHEET.replace("62.10", "NaN")),
        ("readings.csv", "row 2", "field 'diameter'", "found: NaN", "allowed: "),
    ),
    "negative size": (
        shelf("pistons", "61.93", "-61.93"),
        ("pistons.csv", "row 2", "skirt_low", "found: -61.93", "allowed: "),
    ),
    "endless number": (
        shelf("pistons", "61.93", "9" * 400),
        ("pistons.csv", "row 2", "skirt_low", "found: 999", "allowed: "),
    ),
    "endless budget": (
        job(HEAD + f'\n[terms]\nbudget = "{10**10}.00"\n' + CYLINDER),
        ("job.toml", "[terms]", "field 'budget'", "found: 10000000000.00", "allowed: "),
    ),
    "endless mass": (
        job(HEAD + CYLINDER + 'piston = "P-25"\npiston_mass = "9999999 kg"\n'),
        ("job.toml", "cylinder '1'", "field 'piston_mass'", "found: 9999999 kg", "allowed: "),
    ),
    "empty job": (broken(lambda f: (f / "job.toml").write_text("")), ("job.toml", "empty")),
    "empty table": (
        broken(lambda f: (f / "shelf" / "pistons.csv").write_text("\n")),
        ("pistons.csv", "empty"),
    ),
    "no pistons": (
        shelf("pistons", TABLES["pistons.csv"].split("\n", 1)[1], ""),
        ("no pistons", "allowed: "),
    ),
    "duplicate part number": (
        shelf("pistons", "P-25,", "P-0,"),
        ("pistons.csv", "row 3", "field 'number'", "found: P-0", "allowed: "),
    ),
    "duplicate across tables": (
        shelf("rings", "R-0,", "P-0,"),
        ("rings.csv", "row 2", "field 'number'", "found: P-0", "allowed: "),
    ),
    "window upside down": (
        job(HEAD + window("0.08", "0.05") + CYLINDER),
        ("job.toml", "[[window]] 1, field 'low'", "found: low = 0.08, high = 0.05", "allowed: "),
    ),
    "zone without readings": (
        job(HEAD + "\n[zone]\ntop = 50\nbottom = 60\n" + CYLINDER),
        ("job.toml", "cylinder '1'", "zone", "allowed: "),
    ),
    "unknown part": (
        job(HEAD + CYLINDER + 'piston = "P-77"\n'),
        ("job.toml", "cylinder '1'", "field 'piston'", "found: P-77", "allowed: P-0, P-25"),
    ),
    "unknown cylinder": (
        job(HEAD + '\n[[same_size]]\ncylinders = ["1", "9"]\n' + CYLINDER),
        ("job.toml", "cylinders", "found: 9", "allowed: 1"),
    ),
    "unknown cylinder in a sheet": (
        sheet(SHEET + "9,10,pin,62.08\n"),
        ("readings.csv", "row 6", "field 'cylinder'", "found: 9", "allowed: 1"),
    ),
    "another family": (
        job(HEAD + 'family = "saw"\n' + CYLINDER),
        ("field 'family'", "found: pump", "allowed: saw"),
    ),
    "formulas": (
        book([*ROWS, ["1", 40, "pin", "=D2-0.01"]]),
        ("readings.xlsx", "row 4", "found: =D2-0.01", "allowed: "),
    ),
    "merged cells": (
        book(ROWS, "D2:D3"),
        ("readings.xlsx", "row 2", "field 'D2:D3'", "merged cells", "allowed: "),
    ),
    "1 GB": (
        broken(lambda f: huge(f / "job.toml")),
        ("job.toml", "too large", "found: 1000.0 MB", "allowed: at most 20 MB"),
    ),
    "1 GB table": (
        broken(lambda f: huge(f / "shelf" / "rings.csv")),
        ("rings.csv", "too large", "found: 1000.0 MB", "allowed: at most 20 MB"),
    ),
    "file that is a folder": (
        broken(lambda f: folder_in_place_of(f / "job.toml")),
        ("job.toml", "this is a folder", "allowed: a file"),
    ),
    "folder that is a file": (
        broken(lambda f: file_in_place_of(f / "shelf")),
        ("shelf", "this is a file", "allowed: a folder"),
    ),
    "no such sheet": (job(BY_SHEET), ("readings.csv", "there is no such file")),
    "not TOML": (
        job("units = mm\nname = "),
        ("job.toml", "row 1", "found: units = mm", "allowed: "),
    ),
    "unknown key": (
        job(HEAD + 'colour = "red"\n' + CYLINDER),
        ("job.toml", "colour", "allowed: "),
    ),
    "not text": (
        broken(lambda f: (f / "job.toml").write_bytes(b"\xff\xfe\x00n")),
        ("job.toml", "UTF-8"),
    ),
}


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("command", ["pick", "fits"])
def test_refused(run: Run, tmp_path: Path, name: str, command: str) -> None:
    build, named = CASES[name]
    build(tmp_path)
    before = content(tmp_path)
    ran = run(command, tmp_path / "job.toml", "-c", tmp_path / "shelf", "-o", tmp_path / "out")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith("fitsolver: ")
    assert ran.err.count("\n") == 1
    assert "Traceback" not in ran.err
    for part in named:
        assert part in ran.err, ran.err
    assert content(tmp_path) == before


@pytest.mark.parametrize("command", ["pick", "fits", "why"])
def test_doubts_come_at_once_a_line_each(run: Run, tmp_path: Path, command: str) -> None:
    """Two points in the wrong place: one message that names both and says how to accept them."""
    sheet(SHEET.replace("62.10", "6.21").replace("40,pin,62.06", "40,pin,60.26"))(tmp_path)
    before = content(tmp_path)
    ran = run(command, tmp_path / "job.toml", "-c", tmp_path / "shelf", "-o", tmp_path / "out")
    assert (ran.code, ran.out) == (2, "")
    first, *lines = ran.err.splitlines()
    assert first.endswith("job.toml: 2 figures are doubted:")
    for line, row, found in zip(lines, ("row 2", "row 5"), ("6.21", "60.26"), strict=False):
        assert "readings.csv" in line and row in line and f"found {found}, expected" in line
    assert "was 62.1 meant?" in ran.err and "accept = [" in ran.err
    assert "Traceback" not in ran.err
    assert content(tmp_path) == before


def locked(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Take every right from a path; from root, who may do all, by refusing in its place."""
    if hasattr(os, "geteuid") and os.geteuid() != 0:
        path.chmod(0)
        return

    def refuse(path_there: Path, *_: object, **__: object) -> object:
        raise PermissionError(13, "Permission denied", str(path_there))

    for name in ("open", "iterdir"):
        kept = getattr(Path, name)
        monkeypatch.setattr(
            Path,
            name,
            lambda there, *a, kept=kept, **k: (refuse if there == path else kept)(there, *a, **k),
        )
    may = os.access
    monkeypatch.setattr(os, "access", lambda there, mode: there != path and may(there, mode))


@pytest.mark.parametrize("name", ["job.toml", "shelf/pistons.csv", "shelf"])
def test_permission_denied(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    job()(tmp_path)
    with monkeypatch.context() as patch:
        locked(tmp_path / name, patch)
        ran = run("pick", tmp_path / "job.toml", "-c", tmp_path / "shelf")
    (tmp_path / name).chmod(0o755)
    assert (ran.code, ran.out) == (2, "")
    assert "no permission to read" in ran.err
    assert Path(name).name in ran.err


def test_a_folder_that_cannot_be_written_to(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    job()(tmp_path)
    (tmp_path / "kept").mkdir()
    with monkeypatch.context() as patch:
        locked(tmp_path / "kept", patch)
        told = ("-c", tmp_path / "shelf", "-o", tmp_path / "kept" / "out")
        refused = run("pick", tmp_path / "job.toml", *told), run("new", tmp_path / "kept" / "job")
    (tmp_path / "kept").chmod(0o755)
    for ran in refused:
        assert (ran.code, ran.out) == (2, "")
        assert "no permission to write in this folder" in ran.err
    assert content(tmp_path / "kept") == {}


@pytest.mark.parametrize(
    "text",
    [
        SHEET,
        "\ufeff" + SHEET.replace("\n", "\r\n"),
        SHEET.replace(",", ";").replace(".", ","),
        SHEET.replace(",", "\t").replace(".", ","),
    ],
    ids=["plain", "byte order mark and CRLF", "semicolons and decimal commas", "tabs and commas"],
)
def test_read_as_the_same(run: Run, tmp_path: Path, text: str) -> None:
    """The same sheet in another dress comes to the same report."""
    sheet(text)(tmp_path)
    (tmp_path / "plain").mkdir()
    job()(tmp_path / "plain")
    dressed = run("pick", tmp_path / "job.toml", "-c", tmp_path / "shelf")
    plain = run("pick", tmp_path / "plain" / "job.toml", "-c", tmp_path / "shelf")
    assert dressed == plain
    assert dressed.code == 0


def test_outliers_are_taken_when_told(run: Run, tmp_path: Path) -> None:
    sheet(SHEET.replace("1,10,thrust,62.10", "1,10,thrust,63.10"))(tmp_path)
    for command in ("pick", "bore", "fits"):
        told = () if command == "bore" else ("-c", tmp_path / "shelf")
        assert run(command, tmp_path / "job.toml", *told).code == 2
        ran = run(command, tmp_path / "job.toml", *told, "--accept-outliers")
        assert ran.code != 2, ran.err
    assert "63.1" in run("bore", tmp_path / "job.toml", "--accept-outliers").out
