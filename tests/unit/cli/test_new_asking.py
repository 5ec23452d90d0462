"""`fitsolver new` on a pseudo terminal: a job from nothing, and what a readings sheet leaves open.

All figures are invented.
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from fitsolver.cli import asking
from fitsolver.reading.job_file import read_job

from .run import DEMOS

pexpect: Any = pytest.importorskip("pexpect")
pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="no pseudo terminal")


def answered(folder: Path, *dialogue: tuple[str, str], options: tuple[str, ...] = ()) -> str:
    """Answer the questions of `fitsolver new job.toml`, and return all that was on the screen."""
    child = pexpect.spawn(
        sys.executable, ["-m", "fitsolver", "new", "job.toml", *options], cwd=str(folder),
        encoding="utf-8", timeout=60, dimensions=(200, 300),
    )  # fmt: skip
    seen = ""
    for question, answer in dialogue:
        child.expect(question)
        seen += child.before + child.after
        child.sendline(answer)
    child.expect(pexpect.EOF)
    child.close()
    seen += child.before
    assert child.exitstatus == 0, seen
    return seen


def test_a_job_from_nothing_its_readings_typed_place_by_place(tmp_path: Path) -> None:
    """In a catalogue's folder nothing is given: the family's sheet is not asked over again."""
    shutil.copytree(DEMOS / "launch", tmp_path, dirs_exist_ok=True)
    (tmp_path / "job.toml").unlink()
    figures = ["3.5052", "", "3,5041", "3.5028", "back", "3.5029", "wide", "3.5030", "3.5021"]
    seen = answered(
        tmp_path,
        (r"Name of the job \[job\]: ", "spring"),
        (r"Catalogue folder .*\[\.\]: ", ""),
        (r"Family of engines \(harbour launch H35; .*\[harbour launch H35\]: ", "harb"),
        (r"Units of the file .*\[in\]: ", ""),
        (r"File of readings .*: ", ""),
        (r"Number of cylinders \[1\]: ", ""),
        (r"Depths to type readings at.*: ", "0.4, 1.5 2.75"),
        *zip(
            (
                r"cylinder 1, 0.4 thrust: ", r"cylinder 1, 0.4 pin: ", r"cylinder 1, 1.5 thrust: ",
                r"cylinder 1, 1.5 pin: ", r"cylinder 1, 2.75 thrust: ", r"cylinder 1, 1.5 pin: ",
                r"cylinder 1, 2.75 thrust: ", r"'wide' is not a number.*2.75 thrust: ",
                r"cylinder 1, 2.75 pin: ",
            ),
            figures,
            strict=True,
        ),
    )  # fmt: skip
    assert "Type the" not in seen
    job = read_job(tmp_path / "job.toml")
    assert (job.name, job.unit, job.family) == ("spring", "in", "harbour launch H35")
    assert [(r.depth, r.angle, r.size) for r in job.cylinders[0].readings] == [
        (1_016_000, 0, 8_903_208),
        (3_810_000, 0, 8_900_414),
        (3_810_000, 90, 8_897_366),
        (6_985_000, 0, 8_897_620),
        (6_985_000, 90, 8_895_334),
    ]


def test_an_unknown_catalogue_or_family_is_asked_for_again_at_once(
    tmp_path: Path,
) -> None:
    """What the sheet states is not asked; the material, which it does not state, is."""
    shelf = tmp_path / "shelf"
    shutil.copytree(DEMOS / "launch", shelf)
    (shelf / "shop.toml").unlink(missing_ok=True)
    (sheet,) = [*shelf.glob("family.toml"), *shelf.glob("families/*.toml")]
    text = sheet.read_text(encoding="utf-8").replace("material = ", "# material = ")
    sheet.write_text(text, encoding="utf-8")
    seen = answered(
        tmp_path,
        (r"Name of the job \[job\]: ", ""),
        (r"Catalogue folder .*: ", "shlf"),
        (r"did you mean 'shelf'.*allowed: shelf, .*Catalogue folder .*: ", "shelf"),
        (r"Family of engines .*: ", "spaniel"),
        (r"unknown family; found: spaniel; allowed: harbour launch H35\s.*Family of .*: ", "h35"),
        (r"Units of the file .*\[in\]: ", ""),
        (r"File of readings .*: ", "rd.csv"),
        (r"field 'readings': there is no such file.*File of readings .*: ", ""),
        (r"Number of cylinders \[1\]: ", ""),
        (r"Material of the bores .*\[iron\]: ", ""),
        (r"Depths to type readings at.*: ", ""),
    )
    assert "Stroke" not in seen and "Clearance" not in seen
    assert 'material = "iron"' in (tmp_path / "job.toml").read_text(encoding="utf-8")


def test_what_a_workbook_leaves_open_is_asked(tmp_path: Path) -> None:
    """Which sheet, what its words mean, in which unit the figures are, what the dial stood at."""
    book = Workbook()
    for title in ("before", "after"):
        sheet = book.create_sheet(title)
        sheet.append(["Nr", "Tiefe", "Lage", "Abweichung", "Prüfer"])
        for number in ("1", "2"):
            for depth in (10, 40):
                for axis in ("A", "B"):
                    sheet.append([number, depth, axis, 7 + depth // 20, "ok"])
    book.remove(book["Sheet"])
    book.save(tmp_path / "read.xlsx")
    seen = answered(
        tmp_path,
        (r"Which sheet has the readings\? \(before, after\)", "later"),
        (r"found: later.*Which sheet", "after"),
        (r"What does 'Nr' stand for\? .*\[cylinder\]", ""),
        (r"What does 'Lage' stand for\? ", "axis"),
        (r"What does 'Abweichung' stand for\? .*\[dial\]", ""),
        (r"What does 'Prüfer' stand for\? ", ""),
        (r"Nothing is proposed: depth, .*'nothing' leaves it out\.\s+What does 'Prüfer'", "name"),
        (r"'name' is no meaning: depth, .*What does 'Prüfer' stand for\? ", "nothing"),
        (r"What does 'A' stand for\? .*\[thrust\]", ""),
        (r"What does 'B' stand for\? .*\[pin\]", "90°"),
        (r"In which unit are the readings\? They are 7 to 9 in mm", "thou"),
        (r"In which unit are the depths, 10 to 40\? .*\[mm\]", ""),
        (r"What was the dial zeroed on\?", "62"),
        options=(
            *("--name", "a", "-c", "", "--family", "", "--units", "mm", "--readings", "read.xlsx"),
            *("--material", "iron", "--finish", "set size", "--stroke", "58"),
            *("--clearance", "0.05", "0.08", "--end-gap", "0.2", "0.4"),
        ),
    )
    assert "is written" in seen and "--word" not in seen
    job = read_job(tmp_path / "job.toml", windows_needed=False)
    assert [c.name for c in job.cylinders] == ["1", "2"]
    assert [(r.depth, r.angle, r.dial) for r in job.cylinders[1].readings] == [
        (1_000_000, 0, 17_780),
        (1_000_000, 90, 17_780),
        (4_000_000, 0, 22_860),
        (4_000_000, 90, 22_860),
    ]


@pytest.mark.parametrize(
    ("typed", "depths"),
    [
        ("8 40 74", ["8", "40", "74"]),
        ("8, 40, 74", ["8", "40", "74"]),
        ("8,40,74", ["8", "40", "74"]),
        ("8,5 40,5", ["8.5", "40.5"]),
        ("8.5, 40.5", ["8.5", "40.5"]),
    ],
)
def test_a_decimal_comma_parts_no_depth(typed: str, depths: list[str]) -> None:
    assert asking._depths(typed) == depths
