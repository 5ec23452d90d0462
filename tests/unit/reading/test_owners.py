"""Who states a figure: the job before its family sheet, and that before the shop."""

from __future__ import annotations

import json
import shutil
import tomllib
from pathlib import Path
from typing import Any

import pytest
import tomli_w

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.reading.job_file import read_job
from fitsolver.reading.job_keys import FAMILY_KEYS, OF_SHEETS, SHOP_KEYS
from fitsolver.records.job import Job
from fitsolver.reporting.schema import to_json
from fitsolver.usecases import files as service
from fitsolver.usecases.loading import load

ROOT = Path(__file__).parents[3]
DEMOS, FORMAT1 = ROOT / "catalogs_demo", ROOT / "tests" / "format1"
OLD = sorted(
    f"{path.parent.name}/{path.stem}"
    for folder in ("pump", "launch", "brushsaw")
    for path in (FORMAT1 / folder).glob("*.toml")
    if path.stem != "catalogue"
)

HEAD = 'format = 2\nname = "bench job"\nunits = "mm"\ncatalogue = "parts"\n'
CYLINDER = '[[cylinder]]\nname = "1"\nreadings = [[10, "thrust", 62.05], [40, "pin", 62.04]]\n'
SHEET = """\
format = 1
family = "P62"
units = "in"
each_cylinder = { material = "iron" }

[engine]
stroke = 2.5
bore_limit = 2.48

[zone]
top = 0.1
bottom = "90 mm"

[[window]]
fit = "clearance"
low = 0.0022
high = 0.0036
source = "sheet 3"

[[window]]
fit = "end_gap"
groove = 1
low = 0.01
source = "sheet 4"

[[window]]
fit = "end_gap"
groove = 2
low = 0.012
source = "sheet 4"
"""
SHOP = """\
format = 1
name = "shop"
units = "um"

[finish]
how = "set size"

[measuring]
decision = "guarded"
instruments = "everyday set"
factor = 2

[[window]]
fit = "taper"
high = 30
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(FORMAT1 / "pump", tmp_path / "parts")
    catalogue = tmp_path / "parts" / "catalogue.toml"
    catalogue.write_text(
        catalogue.read_text(encoding="utf-8").replace("portable pump P62", "P62"), encoding="utf-8"
    )
    (tmp_path / "parts" / "family.toml").write_text(SHEET, encoding="utf-8")
    (tmp_path / "shop.toml").write_text(SHOP, encoding="utf-8")
    return tmp_path


def written(folder: Path, head: str = "", rest: str = "", cylinder: str = "") -> Path:
    path = folder / "job.toml"
    path.write_text(HEAD + head + rest + CYLINDER + cylinder, encoding="utf-8")
    return path


def refused(path: Path) -> str:
    with pytest.raises(InputError) as raised:
        read_job(path)
    return str(raised.value)


def windows(job: Job) -> dict[Any, tuple[str, str]]:
    return {(w.fit, w.groove): (w.owner, w.source) for w in job.windows}


def test_a_job_takes_what_it_does_not_state(folder: Path) -> None:
    job = read_job(written(folder))
    assert job.family == "P62"
    assert job.unit == "mm"
    assert job.finishing == "set size"
    assert job.cylinders[0].material == "iron"
    assert job.engine.stroke == 6_350_000  # 2.5 in
    assert job.cylinders[0].zone is not None
    assert (job.cylinders[0].zone.top, job.cylinders[0].zone.bottom) == (254_000, 9_000_000)
    assert job.cylinders[0].zone.stands == f"{folder / 'parts' / 'family.toml'}, [zone]"
    assert windows(job) == {
        ("clearance", None): ("family sheet", "sheet 3"),
        ("end_gap", 1): ("family sheet", "sheet 4"),
        ("end_gap", 2): ("family sheet", "sheet 4"),
        ("taper", None): ("shop", ""),
    }
    assert (job.windows[0].low, job.windows[3].high) == (5_588, 3_000)  # 0.0022 in, 30 um


def test_what_a_job_states_outranks_the_sheet_and_that_the_shop(folder: Path) -> None:
    sheet = folder / "parts" / "family.toml"
    sheet.write_text(
        SHEET + '[finish]\nhow = "already finished"\n[[window]]\nfit = "taper"\nhigh = 0.001\n',
        encoding="utf-8",
    )
    rest = '[engine]\nstroke = 60\n[[window]]\nfit = "end_gap"\ngroove = 2\nlow = 0.4\n'
    job = read_job(written(folder, rest=rest + "[zone]\ntop = 5\n"))
    assert (job.engine.stroke, job.engine.bore_limit) == (6_000_000, 6_299_200)
    assert job.finishing == "already finished"
    zone = job.cylinders[0].zone
    assert zone is not None
    assert (zone.top, zone.bottom) == (500_000, 9_000_000)
    assert windows(job) == {
        ("end_gap", 2): ("job", ""),
        ("clearance", None): ("family sheet", "sheet 3"),
        ("end_gap", 1): ("family sheet", "sheet 4"),
        ("taper", None): ("family sheet", ""),
    }


def test_a_window_for_all_grooves_and_an_open_fit_replace_those_of_the_sheet(folder: Path) -> None:
    rest = '[[window]]\nfit = "end_gap"\nlow = 0.4\n'
    job = read_job(written(folder, head='no_window = ["taper"]\n', rest=rest))
    assert windows(job) == {
        ("end_gap", None): ("job", ""),
        ("clearance", None): ("family sheet", "sheet 3"),
    }
    assert [opened.text for opened in job.no_window] == ["taper"]


def test_a_window_of_the_job_closes_what_the_shop_leaves_open(folder: Path) -> None:
    shop = folder / "shop.toml"
    shop.write_text(
        SHOP.replace('units = "um"', 'units = "um"\nno_window = ["squish", "end_gap 2"]'),
        encoding="utf-8",
    )
    job = read_job(written(folder))
    assert [opened.text for opened in job.no_window] == ["squish"]


def test_a_job_does_without_figures_of_its_sheets(folder: Path) -> None:
    left_out = 'without = ["engine.stroke", "window.end_gap.2", "zone", "measuring"]\n'
    job = read_job(written(folder, head=left_out))
    assert job.engine.stroke is None
    assert job.engine.bore_limit is not None
    assert job.cylinders[0].zone is None
    assert job.measuring is None
    assert ("end_gap", 2) not in windows(job)
    said = refused(written(folder, head='without = ["engine.strok"]\n'))
    assert "did you mean 'engine.stroke'" in said
    assert "job.toml, field 'without'" in said


@pytest.mark.parametrize(
    ("measuring", "guard"),
    [
        ('decision = "plain"\n', (None, None)),
        ("probability = 0.95\n", (None, 950_000)),
        ("factor = 3\n", (3_000, None)),
    ],
)
def test_one_way_of_stating_a_figure_outranks_the_other(
    folder: Path, measuring: str, guard: tuple[int | None, int | None]
) -> None:
    job = read_job(written(folder, rest="[measuring]\n" + measuring))
    assert job.measuring is not None
    assert (job.measuring.factor, job.measuring.probability) == guard


def test_squish_as_measured_outranks_a_stated_base(folder: Path) -> None:
    sheet = folder / "parts" / "family.toml"
    sheet.write_text(
        SHEET + "[squish]\nbase_low = 1.3\nbase_high = 1.4\nhead_step = 0.01\n", encoding="utf-8"
    )
    rest = "[squish]\nmeasured = 0.8\nold_gaskets = 0.7\nold_compression_height = 34\n"
    squish = read_job(written(folder, rest=rest)).cylinders[0].squish
    assert squish is not None
    assert squish.base_low == squish.base_high == 3_410_000
    assert squish.head_step == 25_400


def test_what_every_cylinder_has_of_its_own_outranks_the_sheet(folder: Path) -> None:
    own = "[cylinder.zone]\ntop = 1\nbottom = 80\n"
    own += '[[cylinder.window]]\nfit = "clearance"\nlow = 0.05\n'
    job, _ = load(written(folder, head='no_window = ["out_of_round", "taper"]\n', cylinder=own))
    assert job.cylinders[0].zone is not None
    assert job.cylinders[0].zone.bottom == 8_000_000
    assert job.windows_for(job.cylinders[0])[0].owner == "job"


def test_sets_of_a_sheet_are_of_every_cylinder(folder: Path) -> None:
    sheet = folder / "parts" / "family.toml"
    sheet.write_text(SHEET + '[[same_size]]\n[[mass_match]]\nlimit = "2 g"\n', encoding="utf-8")
    assert read_job(written(folder)).mass_match == ()
    job = read_job(written(folder, cylinder=CYLINDER.replace('"1"', '"2"')))
    assert job.same_size[0].cylinders == job.mass_match[0].cylinders == ("1", "2")


@pytest.mark.parametrize(
    ("file", "old", "new", "says"),
    [
        (
            "parts/family.toml",
            "stroke = 2.5",
            'stroke = "2.5 inn"',
            "family.toml, [engine], field 'stroke': unknown unit",
        ),
        (
            "parts/family.toml",
            "stroke = 2.5",
            "strok = 2.5",
            "family.toml, [engine], field 'strok': unknown key (did you mean 'stroke'?)",
        ),
        (
            "parts/family.toml",
            "high = 0.0036",
            "high = 0.0016",
            "family.toml, [[window]] 1, field 'low': the window's lowest value is above",
        ),
        (
            "parts/family.toml",
            "high = 0.0036",
            'high = ""',
            "family.toml, [[window]] 1, clearance: high",
        ),
        ("parts/family.toml", 'family = "P62"', "", "family.toml, field 'family': this key is mis"),
        ("parts/family.toml", "[engine]", "[[cylinder]]", "family.toml, field 'cylinder': unknown"),
        (
            "parts/family.toml",
            '{ material = "iron" }',
            '{ material = "" }',
            "family.toml, [each_cylinder], field 'material': this is not a name",
        ),
        ("shop.toml", "high = 30", "high = 0.000001", "shop.toml, [[window]] 1, field 'high'"),
        ("shop.toml", "factor = 2", "factor = 200", "shop.toml, [measuring], field 'factor'"),
        ("shop.toml", "format = 1", "format = 2", "shop.toml, field 'format'"),
        ("shop.toml", '"set size"', '"set sizes"', "shop.toml, [finish], field 'how': unknown"),
    ],
)
def test_a_message_names_the_file_of_the_figure(
    folder: Path, file: str, old: str, new: str, says: str
) -> None:
    text = (folder / file).read_text(encoding="utf-8")
    assert old in text
    (folder / file).write_text(text.replace(old, new, 1), encoding="utf-8")
    said = refused(written(folder))
    assert says in said
    assert said.count(str(folder / file)) == 1


def test_families(folder: Path) -> None:
    said = refused(written(folder, head='family = "P622"\n'))
    assert "job.toml, field 'family': unknown family (did you mean 'P62'?)" in said
    several = folder / "parts" / "families"
    several.mkdir()
    shutil.move(folder / "parts" / "family.toml", several / "p62.toml")
    (several / "p70.toml").write_text(SHEET.replace("P62", "P70"), encoding="utf-8")
    said = refused(written(folder))
    assert "several families: this key is missing" in said
    assert "P62, P70" in said
    assert read_job(written(folder, head='family = "P70"\n')).family == "P70"
    (several / "other.toml").write_text(SHEET, encoding="utf-8")
    assert "two sheets are of one family (also other.toml)" in refused(written(folder))
    shutil.rmtree(several)
    assert "no family sheet" in refused(written(folder, head='family = "P62"\n'))
    assert (
        read_job(written(folder, rest="", cylinder='material = "iron"\n')).windows[0].fit == "taper"
    )


def test_another_list_of_parts_needs_no_sheet(folder: Path) -> None:
    shutil.copytree(FORMAT1 / "pump", folder / "other")
    path = written(folder)
    assert read_job(path, catalogue=folder / "other").engine.stroke == 6_350_000
    own = SHEET.replace("stroke = 2.5", "stroke = 2.25")
    (folder / "other" / "family.toml").write_text(own, encoding="utf-8")
    assert read_job(path, catalogue=folder / "other").engine.stroke == 5_715_000
    (folder / "other" / "family.toml").write_text(own.replace("P62", "P70"), encoding="utf-8")
    path = written(folder, head='family = "P62"\n')
    assert read_job(path, catalogue=folder / "other").engine.stroke == 6_350_000


def test_a_window_of_the_sheet_that_binds_nothing_names_the_sheet(folder: Path) -> None:
    sheet = folder / "parts" / "family.toml"
    sheet.write_text(SHEET + '[[window]]\nfit = "squish"\nlow = 0.04\n', encoding="utf-8")
    path = written(folder, head='no_window = ["out_of_round", "taper"]\n')
    with pytest.raises(InputError) as raised:
        load(path)
    assert f"{sheet}, [[window]] 4, squish: there is no squish base" in str(raised.value)
    assert 'without = ["window.squish"]' in str(raised.value)


def test_a_doubted_zone_of_the_sheet_names_the_sheet(folder: Path) -> None:
    sheet = folder / "parts" / "family.toml"
    sheet.write_text(SHEET.replace("top = 0.1", 'top = "70 mm"'), encoding="utf-8")
    rows = ", ".join(f'[{depth}, "thrust", 62.05]' for depth in (10, 20, 30, 40, 80))
    text = HEAD + CYLINDER.replace('[10, "thrust", 62.05], [40, "pin", 62.04]', rows)
    (folder / "job.toml").write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as raised:
        service.bore(folder / "job.toml")
    assert f"zone: {sheet}, [zone]: found 4 of 5 depths" in str(raised.value)


def test_the_shop_that_is_named_goes_before_the_nearest(folder: Path) -> None:
    (folder / "other.toml").write_text(SHOP.replace("set size", "already finished"))
    assert read_job(written(folder, head='shop = "other.toml"\n')).finishing == "already finished"
    inner = folder / "jobs"
    inner.mkdir()
    path = inner / "job.toml"
    text = HEAD.replace('"parts"', '"../parts"') + CYLINDER
    path.write_text(text, encoding="utf-8")
    assert read_job(path).finishing == "set size"
    (folder / "shop.toml").write_text(
        SHOP.replace('units = "um"', 'units = "um"\ncatalogue = "parts"')
    )
    path.write_text(text.replace('catalogue = "../parts"\n', ""), encoding="utf-8")
    job = read_job(path)
    assert (job.catalogue, job.family) == ("../parts", "P62")


def test_routes_and_currency_of_the_shop(folder: Path) -> None:
    (folder / "work.csv").write_text(
        "name,kind,half_width,cost\nhone,finish hone,4,30.00\n", encoding="utf-8"
    )
    (folder / "shop.toml").write_text(
        SHOP.replace('units = "um"', 'units = "um"\nroutes = "work.csv"\ncurrency = "EUR"'),
        encoding="utf-8",
    )
    path = written(folder, head='no_window = ["out_of_round", "taper"]\n')
    _, parts = load(path)
    assert [(route.name, route.half_width) for route in parts.routes] == [
        ("as is", 0),
        ("hone", 400),
    ]
    assert parts.stages == ()
    assert parts.fingerprint != read_catalogue(folder / "parts").fingerprint
    shop = (folder / "shop.toml").read_text(encoding="utf-8")
    (folder / "shop.toml").write_text(shop.replace("EUR", "USD"), encoding="utf-8")
    with pytest.raises(InputError, match=r"shop\.toml, field 'currency'"):
        load(path)


def test_the_standard_bore_may_stand_in_the_sheet(folder: Path) -> None:
    catalogue, sheet = folder / "parts" / "catalogue.toml", folder / "parts" / "family.toml"
    text = catalogue.read_text(encoding="utf-8")
    sheet.write_text('standard_bore = "61 mm"\n' + SHEET, encoding="utf-8")
    with pytest.raises(InputError, match=r"family\.toml, field 'standard_bore'"):
        load(written(folder))
    catalogue.write_text(text.replace("standard_bore = 62.00\n", ""), encoding="utf-8")
    assert read_catalogue(folder / "parts").standard_bore == 6_100_000
    sheet.unlink()
    with pytest.raises(InputError, match=r"catalogue\.toml, field 'standard_bore'"):
        read_catalogue(folder / "parts")


def without_owners(document: Any) -> Any:
    """A document without what tells whose figure each is, and without fingerprints."""
    if isinstance(document, list):
        return [without_owners(item) for item in document]
    if not isinstance(document, dict):
        return document
    return {
        key: without_owners(value)
        for key, value in document.items()
        if key != "owner" and "fingerprint" not in key
    }


@pytest.mark.parametrize("name", OLD)
def test_a_demo_answers_as_the_whole_job_of_format_1(name: str) -> None:
    """The job that held every figure is kept in tests/format1."""
    verb = service.final if name.endswith("finished") else service.pick
    old, new = (json.loads(to_json(verb(folder / f"{name}.toml"))) for folder in (FORMAT1, DEMOS))
    assert without_owners(old) == without_owners(new)


@pytest.mark.parametrize("name", ["pump", "launch", "brushsaw"])
def test_a_demo_job_is_complete_in_15_lines(name: str) -> None:
    lines = (DEMOS / name / "job.toml").read_text(encoding="utf-8").splitlines()
    assert len([line for line in lines if line.strip() and not line.startswith("#")]) <= 15
    assert "family sheet" in to_json(service.pick(DEMOS / name / "job.toml"))


def test_a_shop_of_format_1_is_read_as_before() -> None:
    from fitsolver.reading.shop import read_shop
    from fitsolver.usecases.loading import hold_together

    shop = read_shop(FORMAT1 / "workshop", hold_together)
    assert len(shop.jobs) == 40
    assert {window.owner for entry in shop.jobs for window in entry.job.windows} == {"job"}


def test_a_job_takes_no_shop(folder: Path) -> None:
    job = read_job(written(folder, head='shop = ""\n'))
    assert job.finishing == "piston in hand"
    assert job.measuring is None


ODD = ("3", '"x"', "[3]", "{ a = 1 }", "[[]]", "[{ fit = [] }]", "true", "1979-05-27")


@pytest.mark.parametrize("file", ["parts/family.toml", "shop.toml", "job.toml"])
@pytest.mark.parametrize("key", sorted({*FAMILY_KEYS, *SHOP_KEYS, *OF_SHEETS}))
def test_what_is_no_such_thing_is_refused_or_read(folder: Path, file: str, key: str) -> None:
    """Whatever stands in one of the files, in place of what stood there, is no crash."""
    written(folder, rest='[engine]\nstroke = 60\n[[window]]\nfit = "squish"\nlow = 1\n')
    text = (folder / file).read_text(encoding="utf-8")
    data = tomllib.loads(text)
    for odd in ODD:
        data[key] = tomllib.loads(f"v = {odd}")["v"]
        (folder / file).write_text(tomli_w.dumps(data), encoding="utf-8")
        try:
            read_job(folder / "job.toml")
        except InputError as error:
            assert str(error)


def test_a_section_that_is_none_is_refused_though_the_job_has_one(folder: Path) -> None:
    sheet = folder / "parts" / "family.toml"
    sheet.write_text("zone = 3\n" + SHEET.replace('[zone]\ntop = 0.1\nbottom = "90 mm"\n', ""))
    said = refused(written(folder, rest="[zone]\ntop = 5\nbottom = 80\n"))
    assert f"{sheet}, [zone]: this is not a section" in said
