"""A shop folder: jobs from files and a table, priorities, the shelf, and every refusal."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.job_keys import OF_FAMILY
from fitsolver.reading.shop import read_shop
from fitsolver.reading.shorten import alike
from fitsolver.reading.toml_file import read_toml
from fitsolver.reading.toml_text import plain_toml, value_text
from fitsolver.records.allotment import Shop
from fitsolver.usecases.loading import hold_together

DEMOS = Path(__file__).parents[3] / "catalogs_demo"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(DEMOS, tmp_path / "demos")
    return tmp_path / "demos" / "workshop"


def read(folder: Path) -> Shop:
    return read_shop(folder, hold_together)


def change(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_the_demo_shop(folder: Path) -> None:
    shop = read(folder)
    assert len(shop.jobs) == 40
    assert len(shop.catalogues) == 2
    assert shop.shelf is not None
    by_name = {entry.job.name: entry for entry in shop.jobs}
    assert by_name["brigade spare pump"].priority == 1
    assert by_name["brigade spare pump"].catalogue != by_name["rally boat"].catalogue
    mill = by_name["mill"].job
    assert [c.name for c in mill.cylinders] == ["1", "2", "3"]
    assert mill.same_size[0].cylinders == ("1", "2", "3")
    assert mill.mass_match[0].limit == 2_000
    assert len({entry.job.fingerprint for entry in shop.jobs}) == 40
    assert read(folder / "shop.toml") == shop


@pytest.mark.parametrize(
    ("file", "old", "new", "says"),
    [
        ("shelf.csv", "WP-000A,2", "WP-000A,", "the count is missing"),
        ("shelf.csv", "WP-000A,2", "WP-000A,-2", "'-2' is not a whole number from 0"),
        ("shelf.csv", "WP-000A,2", "WP-000B,2", "this number is counted twice"),
        ("bores.csv", "old press,1", "rally boat,1", "two jobs have one name"),
        ("bores.csv", "old press,1,53.150", "old press,1,53.250", "lowest value is above"),
        ("bores.csv", "old press,1", "museum,1", "this cylinder is there twice"),
        ("shop.toml", '"rally boat" = 2', '"rally boot" = 2', "did you mean 'rally boat'"),
        ("shop.toml", '"rally boat" = 2', '"rally boat" = 0', "this number is too small"),
        ("shop.toml", 'name = "workshop, week 14"', "", "this key is missing"),
        ("shop.toml", 'catalogue = "catalogue"', "", "no catalogue is named"),
    ],
)
def test_refusals(folder: Path, file: str, old: str, new: str, says: str) -> None:
    change(folder / file, old, new)
    with pytest.raises(InputError) as refused:
        read(folder)
    assert says in str(refused.value)
    assert refused.value.file


def test_an_empty_shop(tmp_path: Path) -> None:
    (tmp_path / "jobs").mkdir()
    head = 'format = 1\nname = "empty"\nunits = "mm"\njobs = "jobs"\n'
    (tmp_path / "shop.toml").write_text(head)
    with pytest.raises(InputError, match="the shop has no jobs"):
        read(tmp_path)


def test_a_template_of_two_cylinders(folder: Path) -> None:
    change(folder / "shop.toml", '"template.toml"', '"jobs/fire_post.toml"')
    with pytest.raises(InputError, match="a template has one cylinder"):
        read(folder)


def test_no_such_folder(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        read(tmp_path / "nowhere")


def test_a_job_of_the_shop_takes_figures_of_its_sheet_and_shop(folder: Path) -> None:
    before = read(folder)
    path = folder / "jobs" / "rally_boat.toml"
    job = read_toml(path)
    sheet = {key: job.pop(key) for key in OF_FAMILY if key in job}
    finish = sheet.pop("finish")
    head = {"family": job["family"], "units": job["units"]}
    (folder / "catalogue" / "family.toml").write_text(plain_toml({**head, **sheet}))
    path.write_text(plain_toml({**job, "format": 2}))
    shop = (folder / "shop.toml").read_text(encoding="utf-8")
    (folder / "shop.toml").write_text(f"{shop}\n[finish]\nhow = {value_text(finish['how'])}\n")
    after = read(folder)
    jobs = [{entry.job.name: alike(entry.job) for entry in shop.jobs} for shop in (before, after)]
    assert jobs[0] == jobs[1]
    owners = {e.job.name: {w.owner for w in e.job.windows} for e in after.jobs}
    assert owners["rally boat"] == {"family sheet"}
    assert owners["mill"] == {"job"}
