"""A window or pin that binds nothing is refused with what it lacks, never dropped."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.job_file import read_job
from fitsolver.usecases.loading import load

from ..reading.files import CYLINDER, HEAD, catalogue_files, job_file

ASKED = """
[[window]]
fit = "clearance"
low = 0.05
high = 0.08
[[window]]
fit = "end_gap"
low = 0.2
high = 0.6
[[window]]
fit = "out_of_round"
high = 0.03
[[window]]
fit = "taper"
high = 0.05
"""
ONE_AXIS = """
[[cylinder]]
name = "1"
material = "iron"
readings = [[10, "thrust", 62.10], [40, "thrust", 62.07]]
"""


def refused(folder: Path, text: str, cylinder: str = CYLINDER, top: str = "") -> str:
    catalogue_files(folder)
    path = job_file(folder, HEAD + 'catalogue = "shelf"\n' + top + ASKED + text + cylinder)
    with pytest.raises(InputError) as caught:
        load(path)
    return str(caught.value)


def test_the_job_itself_is_whole(tmp_path: Path) -> None:
    catalogue_files(tmp_path)
    load(job_file(tmp_path, HEAD + 'catalogue = "shelf"\n' + ASKED + CYLINDER))


@pytest.mark.parametrize(
    ("text", "lack"),
    [
        (
            '[[window]]\nfit = "end_gap"\ngroove = 9\nhigh = 0.5\n',
            "[[window]] 5, end_gap, groove 9: no piston has this groove (grooves there are: 1)",
        ),
        ('[[window]]\nfit = "squish"\nlow = 0.9\n', "there is no squish base"),
        (
            '[[window]]\nfit = "end_gap"\ngroove = 1\nhigh = 0.5\n',
            "[[window]] 2, end_gap: every groove has a window of its own",
        ),
        (
            '[[in_hand]]\nnumber = "P-0"\nsize = 61.935\ncylinder = "1"\n',
            "",
        ),
    ],
)
def test_windows(tmp_path: Path, text: str, lack: str) -> None:
    if lack:
        assert lack in refused(tmp_path, text)
    else:
        catalogue_files(tmp_path)
        load(job_file(tmp_path, HEAD + 'catalogue = "shelf"\n' + ASKED + text + CYLINDER))


def test_form_that_the_readings_cannot_tell(tmp_path: Path) -> None:
    said = refused(tmp_path, "", ONE_AXIS)
    assert (
        "out_of_round: no depth that decides (in the zone, outside the ports) is read on two axes"
        in said
    )
    assert "taper" not in said


@pytest.mark.parametrize(
    ("cylinder", "lack"),
    [
        (
            'rings = [{ groove = 2, number = "R-2" }]',
            "no piston that it may get has groove 2 (grooves there are: 1)",
        ),
        ('piston = "P-25"', "reserved for cylinder '1', which is to get P-25"),
        (
            'piston = "P-0"\npiston_size = 61.935',
            "reserved for cylinder '1', which is to get P-0 of its own piston_size",
        ),
    ],
)
def test_pins(tmp_path: Path, cylinder: str, lack: str) -> None:
    rings = "number,grooves,gauge_diameter,gap_low,gap_high,width_low,width_high\n"
    rings += "R-0,1,62,0.2,0.3,1.97,1.98\nR-2,2,62,0.2,0.3,1.97,1.98\n"
    held = '[[in_hand]]\nnumber = "P-0"\nsize = 61.935\ncylinder = "1"\n'
    catalogue_files(tmp_path, rings=rings, kits=None)
    text = HEAD + 'catalogue = "shelf"\n' + ASKED + held + CYLINDER + cylinder
    with pytest.raises(InputError) as caught:
        load(job_file(tmp_path, text))
    assert lack in str(caught.value)


def test_lists_that_every_cylinder_replaces(tmp_path: Path) -> None:
    own = CYLINDER + 'routes = ["hone"]\n'
    top = '[finish]\nroutes = ["as is", "hone"]\n'
    catalogue_files(tmp_path)
    tables = "name,kind,half_width\nhone,finish hone,0.004\nas is,as is,0\n"
    catalogue_files(tmp_path, routes=tables, stages=None)
    text = HEAD + 'catalogue = "shelf"\n' + top + ASKED + own
    with pytest.raises(InputError, match="every cylinder has its own list"):
        load(job_file(tmp_path, text))


@pytest.mark.parametrize(
    ("section", "own"),
    [
        ("[zone]\ntop = 5\nbottom = 50\n", "[cylinder.zone]\ntop = 6\nbottom = 50\n"),
        (
            "[[port]]\ntop = 20\nbottom = 30\n",
            "[[cylinder.port]]\ntop = 21\nbottom = 30\n",
        ),
    ],
)
def test_sections_that_every_cylinder_replaces(tmp_path: Path, section: str, own: str) -> None:
    path = job_file(tmp_path, HEAD + section + CYLINDER + own)
    with pytest.raises(InputError, match="would ask nothing"):
        read_job(path)
    read_job(job_file(tmp_path, HEAD + CYLINDER + own))


def test_a_groove_in_no_window_that_no_piston_has(tmp_path: Path) -> None:
    assert "no_window, end_gap 4" in refused(tmp_path, "", top='no_window = ["end_gap 4"]\n')


def test_all_come_at_once(tmp_path: Path) -> None:
    text = '[[window]]\nfit = "squish"\nlow = 0.9\n[[window]]\nfit = "ring_seat"\ngroove = 3\n'
    said = refused(tmp_path, text + "high = 0.1\n")
    assert "squish" in said and "groove 3" in said
