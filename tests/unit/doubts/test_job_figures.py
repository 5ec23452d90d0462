"""Figures of a job that something contradicts: named with what was expected, and accepted by id.

The slips are those of people at work: a sign, a point, two digits, another unit, another column.
The bounds are common practice, no source (docs/doubts.md).
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.doubts.job import doubts_of
from fitsolver.doubts.look import Look
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.reading.job_file import catalogue_folder, read_job
from fitsolver.usecases import files as service
from fitsolver.usecases.loading import load, load_job

DEMOS = Path(__file__).parents[3] / "catalogs_demo"
WHOLE = Path(__file__).parents[2] / "format1"
CLEAN = sorted(
    path.relative_to(DEMOS).as_posix()
    for path in (*DEMOS.glob("*/*.toml"), *DEMOS.glob("workshop/jobs/*.toml"))
    if path.name not in ("catalogue.toml", "family.toml", "shop.toml")
)


def demo(folder: Path, name: str, *changes: tuple[str, str], file: str = "job.toml") -> Path:
    """Copy a demo with texts replaced, each of which must be there."""
    there = folder / name
    shutil.copytree(DEMOS / name, there)
    shutil.copytree(WHOLE / name, there, dirs_exist_ok=True)  # with every figure in the job
    text = (there / file).read_text(encoding="utf-8")
    for before, after in changes:
        assert before in text
        text = text.replace(before, after, 1)
    (there / file).write_text(text, encoding="utf-8")
    return there / "job.toml"


def ids(path: Path) -> list[str]:
    job = read_job(path)
    return [doubt.id for doubt in doubts_of(Look(job, read_catalogue(path.parent)))]


@pytest.mark.parametrize("name", CLEAN)
def test_the_demos_are_clean(name: str) -> None:
    job = read_job(DEMOS / name)
    named = catalogue_folder(job, DEMOS / name)
    parts = read_catalogue(DEMOS / "workshop" / "catalogue" if named is None else named)
    assert doubts_of(Look(job, parts)) == ()


@pytest.mark.parametrize(
    ("before", "after", "name", "meant"),
    [
        ("1,8,thrust,0.092", "1,8,thrust,-0.092", "reading 1/8/thrust", "0.092"),
        ("2,28,thrust,0.086", "2,28,thrust,0.86", "reading 2/28/thrust", "0.086"),
        ("2,18,pin,0.090", "2,18,pin,0.290", "reading 2/18/pin", ""),
        ("1,62,pin,0.078", "1,62,pin,-0.172", "reading 1/62/pin", ""),
        ("1,3,pin,0.073", "1,3,pin,0.173", "reading 1/3/pin", ""),
    ],
)
def test_one_reading_off_its_neighbours(
    tmp_path: Path, before: str, after: str, name: str, meant: str
) -> None:
    path = demo(tmp_path, "pump", (before, after), file="readings.csv")
    with pytest.raises(InputError) as caught:
        load(path)
    text = str(caught.value)
    assert f"{name}: {path.parent / 'readings.csv'}, row" in text
    assert f"found {after.rsplit(',', maxsplit=1)[-1]}, expected" in text
    assert f'accept = ["{name}"]' in text
    assert (f"was {meant} meant?" in text) == bool(meant)


def test_all_doubts_come_at_once(tmp_path: Path) -> None:
    changes = ("1,8,thrust,0.092", "1,8,thrust,0.92"), ("2,74,pin,0.012", "2,74,pin,-0.12")
    path = demo(tmp_path, "pump", *changes, file="readings.csv")
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("scratch = 0.0625", "scratch = 80"), encoding="utf-8")
    assert ids(path) == ["reading 1/8/thrust", "reading 2/74/pin", "scratch 2"]
    with pytest.raises(InputError, match="3 figures are doubted"):
        service.bore(path)


@pytest.mark.parametrize(
    ("before", "after", "name"),
    [
        ("zero = 62.25", "zero = 62.52", "zero 2"),
        ("zero_piston = 62.176", "zero_piston = 62.426", "zero 1"),
        ("zero_piston = 62.176", "zero_piston = 61.926", "zero 1"),
        ("size = 62.440", "size = 62.404", "in_hand 1 size"),
        ("size = 62.440", "size = 62.690", "in_hand 1 size"),
        ('mass = "199.3 g"', 'mass = "193.9 g"', ""),
        ('mass = "199.3 g"', 'mass = "19.93 g"', "in_hand 1 mass"),
        ("scratch = 0.0625", "scratch = 0.625", "scratch 2"),
        ("bottom = 78", "bottom = 18", "zone"),
    ],
)
def test_other_figures(tmp_path: Path, before: str, after: str, name: str) -> None:
    found = ids(demo(tmp_path, "pump", (before, after)))
    assert found == [] if not name else name in found


def test_depths_in_centimetres(tmp_path: Path) -> None:
    path = demo(tmp_path, "pump", file="readings.csv")
    sheet = path.parent / "readings.csv"
    head, *rows = sheet.read_text(encoding="utf-8").splitlines()
    cells = [row.split(",") for row in rows]
    scaled = [",".join((c[0], f"{int(c[1]) / 10:g}", *c[2:])) for c in cells]
    sheet.write_text("\n".join([head, *scaled]), encoding="utf-8")
    doubts = doubts_of(Look(read_job(path), read_catalogue(path.parent)))
    assert [doubt.id for doubt in doubts if doubt.id.startswith("zone")] == ["zone"]
    assert [doubt.id for doubt in doubts] == ["zone"]  # no other is told that follows from it
    assert "of cylinders 1, 2 outside" in doubts[0].sentence
    assert "look like cm, and are read in mm" in doubts[0].sentence


def test_depths_in_another_unit_are_told_before_what_follows_from_them(tmp_path: Path) -> None:
    """Read in inches, no depth of a bore decides: its window of the taper asks nothing."""
    path = demo(tmp_path, "launch", file="readings.csv")
    sheet = path.parent / "readings.csv"
    head, *rows = sheet.read_text(encoding="utf-8").splitlines()
    cells = [row.split(",") for row in rows]
    in_mm = [",".join((c[0], f"{float(c[1]) * 25.4:.0f}", *c[2:])) for c in cells]
    sheet.write_text("\n".join([head, *in_mm]), encoding="utf-8")
    with pytest.raises(InputError, match="look like mm, and are read in inches") as refused:
        load(path, DEMOS / "launch")
    assert "reading" not in str(refused.value).splitlines()[1].split(":")[0]


def test_a_slip_in_the_zone_is_told_before_what_follows_from_it(tmp_path: Path) -> None:
    path = demo(tmp_path, "pump", ("bottom = 78", "bottom = 17.8"))
    with pytest.raises(InputError, match="this figure is doubted:\n  zone: found") as refused:
        load(path)
    assert 'accept = ["zone"]' in str(refused.value)


def test_depths_of_which_none_lies_in_the_zone_name_their_unit(tmp_path: Path) -> None:
    path = demo(tmp_path, "pump", file="readings.csv")
    sheet = path.parent / "readings.csv"
    head, *rows = sheet.read_text(encoding="utf-8").splitlines()
    cells = [row.split(",") for row in rows]
    in_inches = [",".join((c[0], f"{float(c[1]) / 25.4:.2f}", *c[2:])) for c in cells]
    sheet.write_text("\n".join([head, *in_inches]), encoding="utf-8")
    with pytest.raises(InputError, match="the depths look like inches, and are read in mm"):
        load(path)


@pytest.mark.parametrize(
    ("before", "after", "name"),
    [
        ("2,18,thrust", "2,81,thrust", "depth 2/81/thrust"),
        ("1,28,pin", "1,27.8,pin", "depth 1/27.8/pin"),
        ("1,37,pin", "1,73,pin", "depth 1/73/pin"),
    ],
)
def test_a_depth_that_does_not_fit(tmp_path: Path, before: str, after: str, name: str) -> None:
    path = demo(tmp_path, "pump", (before, after), file="readings.csv")
    assert name in ids(path)


def test_worn_below_unworn(tmp_path: Path) -> None:
    low = ('1.5, "thrust", 44.000', '1.5, "thrust", 44.040')
    both = low, ('1.5, "pin", 44.000', '1.5, "pin", 44.040')
    assert ids(demo(tmp_path, "brushsaw", *both)) == ["unworn 1"]
    assert ids(demo(tmp_path / "b", "brushsaw", low)) == ["reading 1/1.5/thrust"]


@pytest.mark.parametrize("way", ["job", "cylinder", "command", "group"])
def test_accepted_by_name(tmp_path: Path, way: str) -> None:
    path = demo(tmp_path, "pump", ("2,62,pin,0.028", "2,62,pin,0.128"), file="readings.csv")
    text = path.read_text(encoding="utf-8")
    if way == "job":
        text = text.replace("format = 1", 'format = 1\naccept = ["reading 2/62/pin"]')
    if way == "group":
        text = text.replace("format = 1", 'format = 1\naccept = ["reading 2"]')
    if way == "cylinder":
        text = text.replace('name = "2"', 'name = "2"\naccept_outliers = true')
    path.write_text(text, encoding="utf-8")
    if way != "command":
        answer = service.pick(path)
    else:
        with pytest.raises(InputError):
            service.pick(path)
        answer = service.pick(path, accept_outliers=True)
    assert [said.partition(":")[0] for said in answer.question.accepted] == ["reading 2/62/pin"]


def test_an_acceptance_takes_nothing_else(tmp_path: Path) -> None:
    path = demo(tmp_path, "pump", ("2,62,pin,0.028", "2,62,pin,0.228"), file="readings.csv")
    text = path.read_text(encoding="utf-8")
    text = text.replace("format = 1", 'format = 1\naccept = ["reading 2/62/thrust"]')
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match="reading 2/62/pin"):
        load_job(path)


def test_a_finished_bore_and_its_half_width(tmp_path: Path) -> None:
    text = (
        'name = "j"\nunits = "mm"\ncatalogue = "."\n[finish]\nhow = "already finished"\n'
        '[[cylinder]]\nname = "1"\nmaterial = "iron"\npiston = "PP-050B"\n'
        "finished_size = {size}\nfinished_half_width = {half}\n"
    )
    shutil.copytree(DEMOS / "pump", tmp_path / "pump")
    path = tmp_path / "pump" / "j.toml"
    for size, half, expected in (
        ("62.51", "0.005", []),
        ("65.21", "0.005", ["finished_size 1"]),
        ("62.51", "0.5", ["finished_half_width 1"]),
    ):
        path.write_text(text.format(size=size, half=half), encoding="utf-8")
        assert ids(path) == expected
