"""`fitsolver ladder`: its report, its document, its exit codes, what it refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from .run import DEMOS, LAUNCH, WORN_OUT, Run

LADDER = DEMOS / "pump" / "ladder.toml"


def test_report_and_unit(run: Run) -> None:
    ran = run("ladder", LADDER, "--unit", "um")
    assert (ran.code, ran.err) == (0, "")
    assert "lengths in µm" in ran.out
    assert "62246.0" in ran.out


def test_document(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "ladder.json"
    ran = run("ladder", LADDER, "--json", "--output", file)
    assert (ran.code, ran.out) == (0, "")
    (cylinder,) = json.loads(file.read_text(encoding="utf-8"))["cylinders"]
    assert (cylinder["rebuilds_left"], cylinder["light_hones"]) == (5, 1)
    assert run("ladder", LADDER, "--output", file).code == 2  # nothing is overwritten


def test_without_wear_it_says_so(run: Run) -> None:
    ran = run("ladder", LAUNCH)
    assert ran.code == 0
    assert "wear_per_rebuild" in ran.out
    assert "light hones" not in ran.out


def test_earlier_records(run: Run) -> None:
    ran = run("ladder", DEMOS / "pump" / "earlier.toml")
    text = " ".join(ran.out.split())
    assert (ran.code, ran.err) == (0, "")
    assert "wear per rebuild 0.028, from earlier records" in text
    assert "3: wear 0.011 on average, standard uncertainty 0.002; the next 0.028 at most" in text
    assert "wear per rebuild 0.010, as the job states" in " ".join(
        run("ladder", LADDER).out.split()
    )


def test_nothing_fits(run: Run) -> None:
    ran = run("ladder", WORN_OUT)
    assert (ran.code, ran.err) == (3, "")
    assert "not today" in ran.out


@pytest.mark.parametrize("wear", ["-1", "0.0002", '"two"'])
def test_bad_wear(run: Run, tmp_path: Path, wear: str) -> None:
    text = LADDER.read_text(encoding="utf-8").replace("wear_per_rebuild = 0.010", "")
    job = tmp_path / "job.toml"
    job.write_text(f"wear_per_rebuild = {wear}\n{text}", encoding="utf-8")
    ran = run("ladder", job, "--catalogue", DEMOS / "pump")
    assert (ran.code, ran.out) == (2, "")
    assert "wear_per_rebuild" in ran.err
    assert "allowed: " in ran.err


def test_rebuilds_count_where_the_job_says_so(run: Run, tmp_path: Path) -> None:
    text = LADDER.read_text(encoding="utf-8").replace(
        'catalogue = "."', f'catalogue = "{LADDER.parent.as_posix()}"\nbest = ["rebuilds_left"]'
    )
    job = tmp_path / "job.toml"
    job.write_text(text, encoding="utf-8")
    ran = run("pick", job, "--show", "levels")
    assert ran.code == 0
    assert "rebuilds left, at most 7" in " ".join(ran.out.split())
    job.write_text(text.replace("wear_per_rebuild", "# wear_per_rebuild"), encoding="utf-8")
    ran = run("pick", job, "--show", "levels")
    assert (ran.code, ran.out) == (2, "")
    assert "wear_per_rebuild, cylinder 1" in ran.err
    assert "Traceback" not in ran.err


def test_front_weighs_rebuilds(run: Run) -> None:
    ran = run("alternatives", LADDER, "--count", "1", "--front")
    text = " ".join(ran.out.split())
    assert "Front between total removal, rebuilds left, price and days" in text
    assert "no plan is as good in all four" in text
    assert "rebuilds left" in text
    front = run("alternatives", LADDER.parent / "job.toml", "--count", "1", "--front")
    assert "rebuilds" not in front.out  # no wear is known
