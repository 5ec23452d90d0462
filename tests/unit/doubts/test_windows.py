"""Windows that a slip of the hand made: ten times, a tenth, a sign, another unit.

The bounds are common practice, no source (docs/doubts.md).
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.doubts.job import doubts_of
from fitsolver.doubts.look import Look
from fitsolver.page.doubted import place_said
from fitsolver.reading.job_file import job_of
from fitsolver.usecases import files as service
from fitsolver.usecases.loading import load
from tests.bench.clean_jobs import draw

DEMOS = Path(__file__).parents[3] / "catalogs_demo"


def changed(folder: Path, *changes: tuple[str, str], demo: str = "pump") -> Path:
    there = folder / demo
    shutil.copytree(DEMOS / demo, there)
    text = (there / "family.toml").read_text(encoding="utf-8")
    for before, after in changes:
        assert f"\n{before}" in text
        text = text.replace(f"\n{before}", f"\n{after}", 1)
    (there / "family.toml").write_text(text, encoding="utf-8")
    return there / "job.toml"


SLIPS = [
    ("pump", "window clearance", "low 0.0009 0.009, high 0.0014 0.014"),
    ("pump", "window clearance", "high 0.0014 0.014"),
    ("pump", "window clearance", "low 0.0009 0.00009"),
    ("pump", "window clearance", "low 0.0009 -0.0009"),
    ("pump", "window end_gap/1", "low 0.0040 0.040, high 0.0065 0.065"),
    ("pump", "window end_gap/1", "low 0.0040 -0.0040"),
    ("pump", "window end_gap/2", "low 0.0045 0.0004, high 0.0095 0.0009"),
    ("pump", "window side_clearance/1", "low 0.030 -0.030"),
    ("pump", "window side_clearance/2", "high 0.065 0.65"),
    ("pump", "window squish", "high 1.20 12.0"),
    ("pump", "window squish", "low 0.90 0.0354, high 1.20 0.0472"),
    ("pump", "window out_of_round", "high 0.020 0.20"),
    ("pump", "window taper", "high 0.030 0.30"),
    ("launch", "window clearance", "low 0.0030 0.076, high 0.0045 0.114"),
]


@pytest.mark.parametrize(("demo", "doubt", "slips"), SLIPS)
def test_a_slip_in_a_window_is_doubted(tmp_path: Path, demo: str, doubt: str, slips: str) -> None:
    typed = [slip.split() for slip in slips.split(", ")]
    slipped = [(f"{key} = {right}", f"{key} = {wrong}") for key, right, wrong in typed]
    job = changed(tmp_path, *slipped, demo=demo)
    with pytest.raises(InputError) as refused:
        load(job)
    (line,) = [line for line in str(refused.value).splitlines() if line.startswith("  window")]
    assert line.startswith(f"  {doubt}: ")
    assert "family.toml, [[window]]" in line and ", expected " in line
    assert "in the job or its family sheet" in str(refused.value)


def test_what_the_sheet_or_the_job_accepts_is_taken(tmp_path: Path) -> None:
    slip = ("high = 0.020", "high = 0.20")
    job = changed(
        tmp_path, slip, ("standard_bore", 'accept = ["window out_of_round"]\nstandard_bore')
    )
    told = service.pick(job).question.accepted
    (only,) = told
    assert only.startswith("window out_of_round: ")
    text = job.read_text(encoding="utf-8")
    job.write_text(f'accept = ["zero 1"]\n{text}', encoding="utf-8")  # both lists hold
    assert service.pick(job).question.accepted == told


def test_drawn_clean_jobs_have_no_doubted_window() -> None:
    for seed in range(60):
        drawn = draw(seed)
        doubts = doubts_of(Look(job_of(drawn.content, Path("job"), None), drawn.catalogue))
        found = [one.id for one in doubts if one.id.startswith("window")]
        assert found == [], seed


def test_the_page_says_whose_window_it_is() -> None:
    assert place_said("window 3/end_gap/2") == "what is permitted for end gap, groove 2, bore 3"
    assert place_said("window out_of_round") == "what is permitted for out of round"
