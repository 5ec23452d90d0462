"""Slips in files around a job: one message names the file and what is allowed there."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.usecases.files import pick

DEMO = Path(__file__).parents[3] / "catalogs_demo" / "pump"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(DEMO, tmp_path / "pump"))


def change(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def said(job: Path) -> str:
    with pytest.raises(InputError) as caught:
        pick(job)
    return str(caught.value)


def test_a_part_that_is_not_there_names_the_job_file(folder: Path) -> None:
    job = folder / "job.toml"
    change(job, '{ name = "1",', '{ name = "1", piston = "PP-999",')
    assert said(job).startswith(
        f"{job}, cylinder '1', field 'piston': unknown piston; found: PP-999"
    )


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('family = "portable pump P62"', 'family = "portable pump P62"\nfamily = "pump"'),
        ("squish = { measured = 0.81,", "squish = { measured = 0.81, measured = 0.8,"),
    ],
)
def test_a_key_that_stands_twice_is_called_so(folder: Path, old: str, new: str) -> None:
    job = folder / "job.toml"
    change(job, old, new)
    assert "this key or section stands twice" in said(job)


def test_a_sheet_of_another_standard_bore_than_the_pistons_is_refused(folder: Path) -> None:
    sheet = folder / "family.toml"
    stated = re.search(r"standard_bore = .*", (folder / "catalogue.toml").read_text())
    where = folder / "catalogue.toml" if stated else sheet
    change(where, stated[0] if stated else "standard_bore = 62", "standard_bore = 52")
    found = said(folder / "job.toml")
    assert f"{where}, field 'standard_bore': the family's pistons are for another" in found
    assert "found: 52" in found


def test_rings_of_a_sheet_wait_where_the_list_has_no_grooves(folder: Path) -> None:
    """A price list seldom gives grooves; the maker's sheet gives the end gap all the same."""
    pistons = folder / "pistons.csv"
    rows = [line.split(",") for line in pistons.read_text(encoding="utf-8").splitlines()]
    kept = [at for at, name in enumerate(rows[0]) if not name.startswith("groove")]
    pistons.write_text("\n".join(",".join(row[at] for at in kept) for row in rows) + "\n")
    for name in ("rings.csv", "kits.csv"):
        (folder / name).unlink()
    assert 'fit = "end_gap"' in (folder / "family.toml").read_text(encoding="utf-8")
    answer = pick(folder / "job.toml")
    assert any("its rings were not looked at" in caution for caution in answer.cautions)
