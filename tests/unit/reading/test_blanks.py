"""Windows that are not filled in yet: all of them in one refusal."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.blanks import blanks, without_blanks
from fitsolver.reading.job_file import read_job

from .files import HEAD, job_file

WINDOWS = """
[[window]]
fit = "clearance"
low = 0.05
high = ""

[[cylinder]]
name = "left"
material = "iron"
readings = [[10, "thrust", 62.31]]

[[cylinder.window]]
fit = "port_timing"
low = ""
service_high = ""
"""


def test_of_the_job_and_of_its_cylinders(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        read_job(job_file(tmp_path, HEAD + WINDOWS))
    said = str(caught.value)
    assert "[[window]] 1, clearance: high; see" in said
    assert "cylinder 'left', [[window]] 1, port timing: low and service_high; see" in said
    assert "no_window" in said


def test_one_that_is_left(tmp_path: Path) -> None:
    text = WINDOWS.replace('high = ""\n\n', "high = 0.08\n\n")
    with pytest.raises(InputError, match="this window is not filled in yet"):
        read_job(job_file(tmp_path, HEAD + text))


def test_left_out_where_no_window_is_needed(tmp_path: Path) -> None:
    job = read_job(job_file(tmp_path, HEAD + WINDOWS), windows_needed=False)
    assert job.windows == job.cylinders[0].windows == ()
    assert len(job.cylinders[0].readings) == 1


@pytest.mark.parametrize(
    "data",
    [{}, {"window": 3}, {"window": ["x"], "cylinder": "y"}, {"cylinder": [4, {"window": {}}]}],
)
def test_what_is_no_window_is_left_to_the_reader(data: dict[str, object]) -> None:
    assert blanks(data) == ()
    assert without_blanks(data) == data
