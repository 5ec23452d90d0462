"""What is wrong in a job, its family sheet and its shop file is told at once, ten lines at most."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_folder import families_of, read_catalogue
from fitsolver.reading.job_file import read_job
from fitsolver.usecases.loading import load

from ..cli.run import DEMOS

Refused = Callable[[str], str]
JOB = """format = 1
name = "a"
units = "mm"
"""
CYLINDER = """[[cylinder]]
name = "1"
material = "iron"
readings = [[10, "thrust", 62.31], [10, "pin", 62.30]]
"""


@pytest.fixture
def refused(tmp_path: Path) -> Refused:
    def ask(text: str) -> str:
        (tmp_path / "job.toml").write_text(text, encoding="utf-8")
        with pytest.raises(InputError) as error:
            read_job(tmp_path / "job.toml")
        return str(error.value).replace(f"{tmp_path}/", "")

    return ask


def test_unknown_keys_of_all_sections(refused: Refused) -> None:
    """Each with the nearest key; a section within a section too."""
    text = JOB + 'colour = "red"\n[engine]\nstrok = 58\nrise = { bores = 90 }\n'
    text += '[[window]]\nfit = "clearance"\nlow = 0.05\nhi = 0.08\n' + CYLINDER
    text += 'scratsh = 0.01\n[[cylinder.window]]\nfit = "taper"\nhighh = 0.01\n'
    lines = refused(text).splitlines()
    assert lines[0] == "job.toml: 6 things are wrong:"
    for line, place, near in zip(
        lines[1:],
        (
            "field 'colour'", "[engine], field 'strok'", "[engine], [rise], field 'bores'",
            "[[window]] 1, field 'hi'", "cylinder '1', field 'scratsh'",
            "cylinder '1', [[window]] 1, field 'highh'",
        ),
        ("", "stroke", "bore", "", "scratch", "high"),
        strict=True,
    ):  # fmt: skip
        assert line.startswith(f"  {place}: unknown key"), line
        assert not near or f"(did you mean '{near}'?)" in line


def test_figures_of_all_sections(refused: Refused) -> None:
    text = JOB + '[engine]\nstroke = "long"\n[zone]\ntop = 8\nbottom = 6\n'
    text += '[[window]]\nfit = "clearance"\nlow = "x"\n[[window]]\nfit = "tapper"\nhigh = 1\n'
    text += CYLINDER.replace('"thrust"', '"long"').replace("62.30", '"y"')
    text += CYLINDER.replace('"1"', '"2"') + "scratch = -1\n"
    said = refused(text)
    assert said.startswith("job.toml: 7 things are wrong:")
    for place in (
        "[engine], field 'stroke'", "[zone], field 'top'", "[[window]] 1, field 'low'",
        "[[window]] 2, field 'fit'", "cylinder '1', reading 1, field 'axis'",
        "cylinder '1', reading 2, field 'size'", "cylinder '2', field 'scratch'",
    ):  # fmt: skip
        assert f"\n  {place}: " in said
    axis = "this is no axis; found: long; allowed: thrust, pin, or whole degrees from thrust"
    assert axis in said


def test_ten_lines_at_most(refused: Refused) -> None:
    said = refused(JOB + "".join(f"k{n} = 1\n" for n in range(14)) + CYLINDER)
    assert said.startswith("job.toml: 14 things are wrong:")
    assert len(said.splitlines()) == 12
    assert said.endswith("  and 4 more")


def test_one_is_told_as_ever(refused: Refused) -> None:
    said = refused(JOB + "stroke = 58\n" + CYLINDER)
    assert said.startswith("job.toml, field 'stroke': unknown key")


def test_a_zero_that_is_missing_is_told_once_a_cylinder(refused: Refused) -> None:
    text = JOB + "".join(
        CYLINDER.replace('"1"', f'"{n}"').replace("62.3", "0.3") + 'readings_as = "dial"\n'
        for n in (1, 2)
    )
    said = refused(text)
    assert said.count("a dial deviation needs the gauge's zero") == 2
    assert "cylinder '2', field 'zero'" in said


def test_family_sheet_and_shop(tmp_path: Path) -> None:
    """The keys of every file are told with the file they stand in."""
    shutil.copytree(DEMOS / "launch", tmp_path / "launch")
    sheet = next(
        path for path in (tmp_path / "launch").rglob("*.toml") if path.name.startswith("family")
    )
    text = sheet.read_text(encoding="utf-8").replace("[engine]", "strok = 1\n[engine]\nrodd = 3", 1)
    sheet.write_text(f"colour = 1\n{text}", encoding="utf-8")
    with pytest.raises(InputError) as error:
        load(tmp_path / "launch" / "job.toml")
    said = str(error.value)
    assert said.startswith(f"{sheet}: 3 things are wrong:")
    shutil.copyfile(DEMOS / "launch" / sheet.name, sheet)
    (tmp_path / "shop.toml").write_text(
        'format = 1\nname = "s"\nunits = "mm"\njob = 1\nshelv = 2\n'
    )
    with pytest.raises(InputError) as error:
        load(tmp_path / "launch" / "job.toml")
    assert "shop.toml: 2 things are wrong:" in str(error.value)
    assert "(did you mean 'shelf'?)" in str(error.value)


def test_a_sheet_and_the_tables_beside_it(tmp_path: Path) -> None:
    """With the nearest key, the section it goes into; words of a window are told with its keys."""
    shelf = tmp_path / "pump"
    shutil.copytree(DEMOS / "pump", shelf)
    sheet = 'family = "portable pump P62"\nunits = "mm"\nmaterial = "iron"\n[engine]\npin = 16\n'
    sheet += '[[window]]\nfit = "end gapp"\nmin = 0.2\n[[window]]\nfit = "Out-of-round"\nlow = 1\n'
    (shelf / "family.toml").write_text(sheet, encoding="utf-8")
    rings = (shelf / "rings.csv").read_text(encoding="utf-8")
    (shelf / "rings.csv").write_text(rings.replace("grooves", "groove", 1), encoding="utf-8")
    with pytest.raises(InputError) as error:
        read_catalogue(shelf)
    said = str(error.value)
    assert said.startswith(f"{shelf}: 7 things are wrong:")
    for part in (
        "field 'material': unknown key (it goes into [each_cylinder])",
        "[engine], field 'pin': unknown key (did you mean 'pin_diameter'?)",
        "[[window]] 1, field 'min': unknown key (did you mean 'low'?)",
        "[[window]] 1, field 'fit': unknown word (did you mean 'end_gap'?)",
        "[[window]] 2, field 'low': a window for out_of_round has only a highest value",
        "rings.csv, row 1, field 'groove': unknown column (did you mean 'grooves'?)",
    ):
        assert part in said


def test_small_pedantries_go(tmp_path: Path) -> None:
    """Blanks in headings and fits, the letter case of the family, groove numbers with commas."""
    shelf = tmp_path / "pump"
    shutil.copytree(DEMOS / "pump", shelf)
    before = read_catalogue(shelf)
    for name, old, new in (
        ("family.toml", '"end_gap"', '"End gap"'),
        ("family.toml", 'family = "p', 'family = "P'),
        ("pistons.csv", "skirt_low", "Skirt low"),
        ("rings.csv", ",1 2,", ",1/2,"),
    ):
        text = (shelf / name).read_text(encoding="utf-8")
        (shelf / name).write_text(text.replace(old, new), encoding="utf-8")
    after = read_catalogue(shelf, "PORTABLE pump P62")
    assert after.pistons == before.pistons
    assert after.rings == before.rings
    assert families_of(shelf) == ("Portable pump P62",)
    job, _ = load(shelf / "job.toml")
    of_demo = load(DEMOS / "pump" / "job.toml")[0].windows
    assert [(w.fit, w.groove, w.low, w.high) for w in job.windows] == [
        (w.fit, w.groove, w.low, w.high) for w in of_demo
    ]


@pytest.mark.parametrize(
    ("typed", "meant"), [("milimeter", "mm"), ("inchs", "in"), ("micrometr", "um")]
)
def test_a_unit_spelled_nearly_so_is_named(refused: Refused, typed: str, meant: str) -> None:
    said = refused(JOB.replace('"mm"', f'"{typed}"') + CYLINDER)
    assert f"unknown word (did you mean '{meant}'?)" in said


@pytest.mark.parametrize("typed", ["inches", "Inch", "MM", "millimetres", "thousandths"])
def test_a_unit_may_be_spelled_out(tmp_path: Path, typed: str) -> None:
    path = tmp_path / "job.toml"
    figures = CYLINDER.replace("62.31", "'62.31 mm'").replace("62.30", "'62.30 mm'")
    path.write_text(JOB.replace('"mm"', f'"{typed}"') + figures, encoding="utf-8")
    assert read_job(path).unit in ("in", "mm", "thou")
