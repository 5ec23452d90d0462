"""Catalogue folders: what each table gives, and what is refused with row and column."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_folder import check_family, read_catalogue
from fitsolver.reading.job_file import read_job
from fitsolver.records.base import Range
from fitsolver.records.catalogue import AS_IS, Groove, KitItem, Stage

from .files import CATALOGUE, CYLINDER, HEAD, TABLES, catalogue_files, job_file, refusal, workbook

DEMOS = Path(__file__).parents[3] / "catalogs_demo"
PISTONS, RINGS = TABLES["pistons.csv"], TABLES["rings.csv"]
GASKETS, KITS, ROUTES = TABLES["gaskets.csv"], TABLES["kits.csv"], TABLES["routes.csv"]
STAGES = TABLES["stages.csv"]


def test_every_table(tmp_path: Path) -> None:
    found = read_catalogue(catalogue_files(tmp_path))
    standard, over = found.pistons
    assert (found.name, found.family, found.standard_bore) == ("shelf", "pump", 6_200_000)
    assert (over.oversize, over.nominal_bore, over.stock) == (25_000, 6_225_000, 2)
    assert (standard.skirt, standard.price) == (Range(low=6_193_000, high=6_194_000), 5_000)
    assert standard.grooves == (Groove(number=1, width=Range(low=203_000, high=204_000)),)
    assert (found.rings[0].grooves, found.rings[0].file_most) == ((1,), 50_000)
    assert found.gaskets[0].compressed == Range(low=48_000, high=52_000)
    items = (KitItem(number="P-0", count=1), KitItem(number="R-0", count=2))
    assert found.kits[0].contents == items
    assert found.routes[0] == AS_IS
    assert (found.routes[1].materials, found.routes[1].cost) == (("iron", "steel"), 2_200)
    leaves = Range(low=2_000, high=4_000)
    assert found.stages == (
        Stage(route="hone", name="coarse", leaves=leaves, half_width=1_000),
        Stage(route="hone", name="fine", leaves=Range(low=0, high=0)),
    )


@pytest.mark.parametrize("name", ["pump", "launch", "brushsaw"])
def test_the_demonstrations(name: str) -> None:
    found = read_catalogue(DEMOS / name)
    assert found.pistons and found.rings and found.gaskets and found.kits and found.stages
    assert len(found.fingerprint) == 64
    check_family(read_job(DEMOS / name / "job.toml"), found)


def test_skirt_for_a_bore(tmp_path: Path) -> None:
    table = "number,oversize,for_bore,for_clearance_low,for_clearance_high\nP,0,62,-0.01,0.04\n"
    folder = catalogue_files(tmp_path, pistons=table, kits=None)
    assert read_catalogue(folder).pistons[0].skirt == Range(low=6_196_000, high=6_201_000)


def test_units_of_columns_and_cells(tmp_path: Path) -> None:
    table = RINGS.replace("gap_low", "gap_low [thou]").replace("0.2,0.3", "8,0.012 in")
    ring = read_catalogue(catalogue_files(tmp_path, rings=table)).rings[0]
    assert ring.gap == Range(low=20_320, high=30_480)


def test_european_table_and_workbook_say_the_same(tmp_path: Path) -> None:
    plain = read_catalogue(catalogue_files(tmp_path))
    european = "\ufeff" + PISTONS.replace(",", ";").replace(".", ",").replace("\n", "\r\n")
    kits = 'number;contents;price;lead_days\nK-1;"P-0 x1; R-0 x2";60,00;4\n'
    folder = catalogue_files(tmp_path, pistons=european, kits=kits)
    assert read_catalogue(folder).pistons == plain.pistons
    assert read_catalogue(folder).kits == plain.kits
    rows: list[list[object]] = [list(line.split(",")) for line in PISTONS.splitlines()]
    numbers = [[row[0], *map(float, map(str, row[1:]))] for row in rows[1:]]
    (folder / "pistons.csv").unlink()
    workbook(folder / "Pistons.xlsx", [rows[0], *numbers])
    assert read_catalogue(folder).pistons == plain.pistons


def test_tables_that_may_be_left_out(tmp_path: Path) -> None:
    folder = catalogue_files(
        tmp_path, rings=None, gaskets=None, kits=None, routes=None, stages=None
    )
    found = read_catalogue(folder)
    assert (found.rings, found.gaskets, found.kits, found.routes) == ((), (), (), (AS_IS,))
    assert found.stages == ()


def test_own_as_is_route_is_kept(tmp_path: Path) -> None:
    folder = catalogue_files(tmp_path, routes=ROUTES + "leave,as is,,,0,,3.00,,\n")
    assert [route.name for route in read_catalogue(folder).routes] == ["hone", "leave"]


# table, its text, row, column, a word of the message, something of what is found or allowed
BAD: dict[str, tuple[str, str, int | None, str, str, str]] = {
    "stage of no route": (
        "stages",
        STAGES.replace("hone,coarse", "hon,coarse"),
        2,
        "route",
        "did you mean 'hone'",
        "hon",
    ),
    "stage of a bore that is not cut": (
        "stages",
        STAGES + "as is,rest,0,0,\n",
        4,
        "route",
        "route that cuts",
        "as is",
    ),
    "stage twice": ("stages", STAGES.replace("fine", "coarse"), 3, "stage", "twice", "coarse"),
    "stage without name": ("stages", STAGES.replace("fine", ""), 3, "stage", "empty", "nothing"),
    "leaves upside down": (
        "stages",
        STAGES.replace("0.02,", "0.05,"),
        2,
        "leaves_low",
        "above the highest",
        "0.05 and 0.04",
    ),
    "leaves more than the stage before": (
        "stages",
        STAGES.replace("hone,fine,0,0", "hone,mid,0.01,0.02,\nhone,fine,0,0"),
        3,
        "leaves_high",
        "'coarse' may leave",
        "0.02",
    ),
    "negative leaves": (
        "stages",
        STAGES.replace("0.02,", "-0.02,"),
        2,
        "leaves_low",
        "negative",
        "-0.02",
    ),
    "last stage leaves metal": (
        "stages",
        STAGES.replace("fine,0,0", "fine,0,0.01"),
        3,
        "leaves_high",
        "leaves metal",
        "0.01",
    ),
    "stage wider than what it leaves": (
        "stages",
        STAGES.replace(",0.01\n", ",0.01001\n"),
        2,
        "half_width",
        "too much or too little",
        "0.01001",
    ),
    "half-width of the last stage": (
        "stages",
        STAGES.replace("fine,0,0,", "fine,0,0,0.004"),
        3,
        "half_width",
        "as closely as its route",
        "0.004",
    ),
    "column missing": (
        "pistons",
        PISTONS.replace("oversize", "alloy"),
        1,
        "oversize",
        "missing",
        "header",
    ),
    "extra column": (
        "rings",
        RINGS.replace("file_most", "fill_most"),
        1,
        "fill_most",
        "'file_most'",
        "seat_over",
    ),
    "column twice": ("pistons", PISTONS.replace("stock", "price"), 1, "price", "twice", "price"),
    "tenth groove": (
        "pistons",
        PISTONS.replace("groove1_low", "groove10_low"),
        1,
        "groove10_low",
        "unknown column",
        "groove1_low",
    ),
    "no rows": ("pistons", PISTONS.split("\n")[0], None, "", "no pistons", "pistons.csv"),
    "number twice": ("pistons", PISTONS.replace("P-25", "P-0"), 3, "number", "row 2", "P-0"),
    "number in two tables": (
        "rings",
        RINGS.replace("R-0", "P-0"),
        2,
        "number",
        "pistons.csv",
        "once",
    ),
    "no number": ("rings", RINGS.replace("R-0", ""), 2, "number", "empty", "nothing"),
    "skirt upside down": (
        "pistons",
        PISTONS.replace("61.93", "61.95"),
        2,
        "skirt_low",
        "above the highest",
        "61.95 and 61.94",
    ),
    "no skirt": ("pistons", PISTONS.replace("61.93,61.94", ","), 2, "skirt_low", "empty", "length"),
    "negative skirt": (
        "pistons",
        PISTONS.replace("61.93", "-61.93"),
        2,
        "skirt_low",
        "negative",
        "-61.93",
    ),
    "negative oversize": (
        "pistons",
        PISTONS.replace("0.25", "-0.25"),
        3,
        "oversize",
        "negative",
        "-0.25",
    ),
    "zero skirt": ("pistons", PISTONS.replace("61.93", "0"), 2, "skirt_low", "above zero", "0"),
    "NaN": ("pistons", PISTONS.replace("61.93", "nan"), 2, "skirt_low", "not a number", "nan"),
    "infinite": ("pistons", PISTONS.replace("61.94", "inf"), 2, "skirt_high", "number", "inf"),
    "wrong unit": (
        "pistons",
        PISTONS.replace("61.93", "61.93 cm"),
        2,
        "skirt_low",
        "unknown unit",
        "cm",
    ),
    "half a groove": (
        "pistons",
        PISTONS.replace("2.03,2.04", "2.03,"),
        2,
        "groove1_high",
        "empty",
        "length",
    ),
    "second groove only": (
        "pistons",
        PISTONS.replace("groove1", "groove2"),
        2,
        "groove1_low",
        "empty",
        "crown",
    ),
    "negative price": (
        "pistons",
        PISTONS.replace("50.00", "-50.00"),
        2,
        "price",
        "negative",
        "-50.00",
    ),
    "half a piece": (
        "pistons",
        PISTONS.replace("50.00,1", "50.00,1.5"),
        2,
        "stock",
        "whole",
        "1.5",
    ),
    "ambiguous comma": (
        "pistons",
        PISTONS.replace("61.93", '"61,93"'),
        2,
        "skirt_low",
        "ambiguous",
        "61,93",
    ),
    "skirt twice": (
        "pistons",
        "number,oversize,skirt_low,skirt_high,for_bore\nP,0,61,61,62\n",
        2,
        "skirt_low",
        "twice",
        "61",
    ),
    "bore without clearance": (
        "pistons",
        "number,oversize,for_bore,for_clearance_low\nP,0,62,0\n",
        2,
        "for_clearance_high",
        "empty",
        "for_bore",
    ),
    "clearance upside down": (
        "pistons",
        "number,oversize,for_bore,for_clearance_low,for_clearance_high\nP,0,62,3,2\n",
        2,
        "for_clearance_low",
        "above the highest",
        "3 and 2",
    ),
    "gap upside down": (
        "rings",
        RINGS.replace("0.2,0.3", "0.4,0.3"),
        2,
        "gap_low",
        "above the highest",
        "0.4 and 0.3",
    ),
    "no groove number": (
        "rings",
        RINGS.replace("R-0,1", "R-0,top"),
        2,
        "grooves",
        "no groove numbers",
        "top",
    ),
    "grooves run together": (
        "rings",
        RINGS.replace("R-0,1", "R-0,12"),
        2,
        "grooves",
        "no groove numbers",
        "12",
    ),
    "a groove twice": (
        "rings",
        RINGS.replace("R-0,1", "R-0,1 1"),
        2,
        "grooves",
        "no groove numbers",
        "1 1",
    ),
    "negative filing": (
        "rings",
        RINGS.replace(",0.5", ",-0.5"),
        2,
        "file_most",
        "negative",
        "-0.5",
    ),
    "crushed to nothing": (
        "gaskets",
        GASKETS.replace("0.1,", "0.6,"),
        2,
        "crush",
        "nothing",
        "0.6",
    ),
    "no place": ("gaskets", GASKETS.replace("head", ""), 2, "place", "empty", "nothing"),
    "unknown part in a kit": (
        "kits",
        KITS.replace("R-0", "R-O"),
        2,
        "contents",
        "unknown part",
        "R-O",
    ),
    "a kit in a kit": ("kits", KITS + "K-2,K-1,1.00,2\n", 3, "contents", "unknown part", "K-1"),
    "a part twice in a kit": ("kits", KITS.replace("R-0", "P-0"), 2, "contents", "twice", "once"),
    "none of a part": ("kits", KITS.replace("x2", "x0"), 2, "contents", "no times", "x1"),
    "empty kit": ("kits", KITS.replace("P-0 x1; R-0 x2", ";"), 2, "contents", "empty", "PP-1"),
    "unknown kind": (
        "routes",
        ROUTES.replace("finish hone", "polish"),
        2,
        "kind",
        "unknown word",
        "polish",
    ),
    "route twice": ("routes", ROUTES + ROUTES.split("\n")[1] + "\n", 3, "name", "twice", "hone"),
    "cuts upside down": (
        "routes",
        ROUTES.replace("0.01,", "0.1,"),
        2,
        "min_cut",
        "above",
        "0.1 and 0.08",
    ),
    "restore without bore": (
        "routes",
        ROUTES.replace("finish hone", "restore"),
        2,
        "restored_bore",
        "restore",
        "nothing",
    ),
    "as is that cuts": (
        "routes",
        ROUTES.replace("finish hone", "as is"),
        2,
        "kind",
        "not cut",
        "as is",
    ),
    "two that leave it": (
        "routes",
        ROUTES + "a,as is,,,0,,,,\nb,as is,,,0,,,,\n",
        4,
        "kind",
        "two routes",
        "one",
    ),
    "as is by name only": (
        "routes",
        ROUTES.replace("hone,finish", "as is,finish"),
        2,
        "name",
        "of that kind",
        "as is",
    ),
}


@pytest.mark.parametrize("case", BAD)
def test_refused(tmp_path: Path, case: str) -> None:
    table, text, row, field, words, more = BAD[case]
    folder = catalogue_files(tmp_path, **{table: text})
    error = refusal(read_catalogue, folder)
    expected = folder / f"{table}.csv" if row else folder
    assert (error.file, error.row, error.field) == (str(expected), row, field)
    assert words in error.message
    assert more in str(error)


@pytest.mark.parametrize(
    ("head", "field", "words"),
    [
        (CATALOGUE.replace("standard_bore = 62.00", ""), "standard_bore", "missing"),
        (CATALOGUE.replace("62.00", "-62.00"), "standard_bore", "above zero"),
        (CATALOGUE.replace("family", "familly"), "familly", "did you mean 'family'"),
        (CATALOGUE.replace('units = "mm"', ""), "units", "missing"),
        (CATALOGUE.replace("format = 1", "format = 7"), "format", "not known"),
    ],
)
def test_head_refused(tmp_path: Path, head: str, field: str, words: str) -> None:
    folder = catalogue_files(tmp_path, head)
    error = refusal(read_catalogue, folder)
    assert (error.file, error.field) == (str(folder / "catalogue.toml"), field)
    assert words in error.message


def test_files_of_the_folder(tmp_path: Path) -> None:
    folder = catalogue_files(tmp_path)
    (folder / "readings.csv").write_text("anything at all", encoding="utf-8")
    read_catalogue(folder)
    (folder / "ring.csv").write_text(RINGS, encoding="utf-8")
    (folder / "rings.csv").unlink()
    assert refusal(read_catalogue, folder).allowed == "rings.csv or rings.xlsx"
    (folder / "pistons.xlsx").write_bytes(b"x")
    assert refusal(read_catalogue, folder).found == "pistons.csv and pistons.xlsx"
    (folder / "catalogue.toml").unlink()
    assert "catalogue.toml" in refusal(read_catalogue, folder).message


@pytest.mark.parametrize("cell", ["=1+1", "merged"])
def test_workbook_refused(tmp_path: Path, cell: str) -> None:
    folder = catalogue_files(tmp_path, gaskets=None)
    (folder / "gaskets.csv").unlink(missing_ok=True)
    rows: list[list[object]] = [["number", "place", "thickness"], ["G", "head", cell]]
    workbook(folder / "gaskets.xlsx", rows, "A2:B2" if cell == "merged" else "")
    error = refusal(read_catalogue, folder)
    assert error.row == 2
    assert ("merged" if cell == "merged" else "formula") in error.message


def test_another_family(tmp_path: Path) -> None:
    found = read_catalogue(catalogue_files(tmp_path))
    check_family(read_job(job_file(tmp_path, HEAD + CYLINDER)), found)
    job = read_job(job_file(tmp_path, f'{HEAD}family = "launch"{CYLINDER}'))
    with pytest.raises(InputError) as caught:
        check_family(job, found)
    assert (caught.value.field, caught.value.found) == ("family", "pump")
    assert "launch" in caught.value.allowed


def test_the_fingerprint_is_of_what_the_tables_say(tmp_path: Path) -> None:
    first = read_catalogue(catalogue_files(tmp_path)).fingerprint
    again = catalogue_files(tmp_path, pistons=PISTONS.replace("\n", "\r\n"))
    assert read_catalogue(again).fingerprint == first
    other = catalogue_files(tmp_path, pistons=PISTONS.replace("50.00", "50.01"))
    assert read_catalogue(other).fingerprint != first


def test_ten_thousand_rows_cost_ten_times_a_thousand(tmp_path: Path) -> None:
    """Reading is near linear in the rows: at most twice that, as clocks go."""

    def seconds(rows: int) -> float:
        folder = tmp_path / str(rows)
        folder.mkdir()
        lines = [
            f"P-{n},{n % 100 / 100},{61.93 + n % 977 / 1000:.3f},63.50,2.03,2.04,50.00,1"
            for n in range(rows)
        ]
        catalogue = catalogue_files(
            folder, pistons=PISTONS.split("\n")[0] + "\n" + "\n".join(lines) + "\n", kits=None
        )
        best = 1e9
        for _ in range(3):
            start = time.process_time()
            assert len(read_catalogue(catalogue).pistons) == rows
            best = min(best, time.process_time() - start)
        return best

    assert seconds(10_000) < 20 * seconds(1_000)
