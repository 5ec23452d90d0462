"""A window that its measuring allowance uses up is told as that."""

from __future__ import annotations

import shutil
from pathlib import Path

from fitsolver.usecases import files as service

DEMO = Path(__file__).parents[3] / "catalogs_demo" / "pump"


def test_an_allowance_that_leaves_nothing_of_the_window(tmp_path: Path) -> None:
    there = tmp_path / "pump"
    shutil.copytree(DEMO, there)
    sheet = there / "family.toml"
    text = sheet.read_text(encoding="utf-8")
    for before, after in (("high = 0.0014", "high = 0.00098"), ('guard = "2 um"', "guard = 0.004")):
        assert before in text
        text = text.replace(before, after, 1)
    sheet.write_text(text, encoding="utf-8")
    answer = service.pick(there / "job.toml")
    assert answer.no_fit is not None
    told = str(answer.no_fit)
    # 62.25 x 0.0009 = 0.0561 and 62.25 x 0.00098 = 0.0610 (0.0009 and 0.00098 a mm of bore)
    assert "the measuring allowance, 0.004 mm on each side, leaves nothing of it" in told
    assert "0.061 to 0.057" not in told
