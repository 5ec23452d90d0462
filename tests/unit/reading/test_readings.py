"""Readings in the job file and in sheets: units, dials, separators, workbooks, refusals."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.job_file import read_job
from fitsolver.reading.readings_sheet import read_readings
from fitsolver.records.job import Cylinder
from fitsolver.records.readings import GaugeZero

from .files import HEAD, job_file, refusal, workbook

MM = 100_000
PLAIN = "cylinder,depth,axis,diameter\n1,10,thrust,62.31\n1,10,pin,62.30\n"
WANTED = [(10 * MM, 0, 6_231_000), (10 * MM, 90, 6_230_000)]


def sheet_job(folder: Path, sheet: str | bytes, lines: str = "", name: str = "sheet.csv") -> Path:
    """Write a job of one cylinder with a readings sheet."""
    content = sheet if isinstance(sheet, bytes) else sheet.encode()
    if content:
        (folder / name).write_bytes(content)
    return job_file(
        folder,
        f'{HEAD}[[cylinder]]\nname = 1\nmaterial = "iron"\n{lines}\nreadings_file = "{name}"\n',
    )


def inline_job(folder: Path, lines: str) -> Path:
    return job_file(folder, f'{HEAD}[[cylinder]]\nname = "1"\nmaterial = "iron"\n{lines}')


def cylinder(path: Path) -> Cylinder:
    return read_job(path).cylinders[0]


def places(found: Cylinder) -> list[tuple[int, int, int]]:
    return [(r.depth, r.angle, r.size) for r in found.readings]


SHEETS = {
    "plain": PLAIN,
    "byte order mark and CRLF": "\ufeff" + PLAIN.replace("\n", "\r\n"),
    "old line ends": PLAIN.replace("\n", "\r"),
    "semicolons, decimal commas": PLAIN.replace(",", ";").replace(".", ","),
    "tabs, decimal commas": PLAIN.replace(",", "\t").replace(".", ","),
    "semicolons, decimal points": PLAIN.replace(",", ";"),
    "separator named": "sep=;\r\n" + PLAIN.replace(",", ";").replace(".", ","),
    "blank rows and columns": "cylinder,depth,axis,diameter,,\n\n1,10,thrust,62.31,,\n,,,,,\n"
    "1,10,pin,62.30,,\n",
    "quotes and blanks": 'cylinder, depth ,axis,diameter\n"1", 10,"thrust", 62.31\n1,10,90°,62.30',
    "header units": 'cylinder,depth [um],axis,diameter [in]\n1,10000,thrust,"62.31 mm"\n'
    "1,10000,270,62300 um\n",
    "a unit a row": "cylinder,depth,axis,diameter,unit\n1,10,thrust,62310,um\n1,10,pin,62.3,\n",
}


@pytest.mark.parametrize("name", SHEETS)
def test_a_sheet(tmp_path: Path, name: str) -> None:
    assert places(cylinder(sheet_job(tmp_path, SHEETS[name]))) == WANTED


def test_inch_sizes_are_exact(tmp_path: Path) -> None:
    sheet = "cylinder,depth [in],axis,diameter [in]\n1,0.4,thrust,3.50525\n"
    assert places(cylinder(sheet_job(tmp_path, sheet))) == [(1_016_000, 0, 8_903_335)]


def test_a_workbook(tmp_path: Path) -> None:
    workbook(
        tmp_path / "r.xlsx",
        [
            ["cylinder", "depth [mm]", "axis", "diameter"],
            [1, 10, "thrust", 62.31],
            [],
            ["1", 10.0, "pin", "62.30"],
        ],
    )
    assert places(cylinder(sheet_job(tmp_path, b"", name="r.xlsx"))) == WANTED


@pytest.mark.parametrize(
    ("rows", "merge", "field", "words"),
    [
        (
            [["cylinder", "depth", "axis", "diameter"], [1, 10, "pin", "=62+0.3"]],
            "",
            "D2",
            "formula",
        ),
        (
            [["cylinder", "depth", "axis", "diameter"], [1, 10, "pin", 62.3]],
            "A2:B2",
            "A2:B2",
            "merged",
        ),
        ([["cylinder", "depth", "axis", "diameter"], [1, 10, "pin", True]], "", "D2", "true"),
        (
            [["cylinder", "depth", "axis", "diameter"], [1, 10, "pin", "62,3"]],
            "",
            "diameter",
            "ambiguous",
        ),
        ([["cylinder", "depth", "axis", "diameter"], [1, 10, "pin"]], "", "", "no readings stand"),
        ([[]], "", "", "one filled sheet"),
    ],
)
def test_a_workbook_refused(
    tmp_path: Path, rows: list[list[object]], merge: str, field: str, words: str
) -> None:
    path = workbook(tmp_path / "r.xlsx", rows, merge)
    error = refusal(read_job, sheet_job(tmp_path, b"", name="r.xlsx"))
    assert (error.file, error.field) == (str(path), field)
    assert words in error.message
    assert error.row in (1, 2, None)


GRID: list[list[object]] = [
    ["Bores as found", None, None, None, None],
    ["depth", 1, None, 2, None],
    [None, "thrust", "pin", "thrust", "pin"],
    [10, 62.3, 62.2, 62.1, 62.0],
    ["read by the day shift", None, None, None, None],
]


@pytest.mark.parametrize("merges", [["A1:E1"], ["B2:C2", "D2:E2"], ["A2:A3"], ["A5:E5", "A1:C1"]])
def test_titles_and_headings_may_be_merged(tmp_path: Path, merges: list[str]) -> None:
    """As they are in a spreadsheet: over the columns of a cylinder, and down beside two rows."""
    path = workbook(tmp_path / "r.xlsx", GRID)
    _changed(path, merges)
    table = read_readings(path, "mm")
    assert [cells[:4] for _, cells in table.rows] == [
        ["1", "10", "thrust", "62.3"],
        ["1", "10", "pin", "62.2"],
        ["2", "10", "thrust", "62.1"],
        ["2", "10", "pin", "62"],
    ]


def test_a_cylinder_merged_down_its_rows(tmp_path: Path) -> None:
    rows = [
        ["cylinder", "depth", "axis", "diameter"],
        [1, 10, "thrust", 62.3],
        [None, 10, "pin", 62.2],
    ]
    path = workbook(tmp_path / "r.xlsx", rows, "A2:A3")
    assert [cells[0] for _, cells in read_readings(path, "mm").rows] == ["1", "1"]


@pytest.mark.parametrize(
    ("merges", "row", "column", "words"),
    [
        (["B4:C4"], None, None, "merged cells"),
        (["B4:B5"], None, None, "merged cells"),
        ([], 4, None, "a hidden row"),
        ([], None, "C", "a hidden column"),
    ],
)
def test_what_cannot_be_seen_of_readings_is_refused(
    tmp_path: Path, merges: list[str], row: int | None, column: str | None, words: str
) -> None:
    path = workbook(tmp_path / "r.xlsx", GRID)
    _changed(path, merges, row, column)
    with pytest.raises(InputError, match=words):
        read_readings(path, "mm")


def _changed(
    path: Path, merges: list[str], row: int | None = None, column: str | None = None
) -> None:
    from openpyxl import load_workbook

    book = load_workbook(path)
    for merge in merges:
        book.active.merge_cells(merge)
    if row is not None:
        book.active.row_dimensions[row].hidden = True
    if column is not None:
        book.active.column_dimensions[column].hidden = True
    book.save(path)


def test_two_filled_sheets(tmp_path: Path) -> None:
    from openpyxl import Workbook

    book = Workbook()
    book.active.append(["cylinder"])
    book.create_sheet("more").append([1])
    book.save(tmp_path / "r.xlsx")
    error = refusal(read_job, sheet_job(tmp_path, b"", name="r.xlsx"))
    assert error.found == "Sheet, more"


@pytest.mark.parametrize("content", [b"not a zip file", b"PK\x03\x04 broken"])
def test_no_workbook(tmp_path: Path, content: bytes) -> None:
    error = refusal(read_job, sheet_job(tmp_path, content, name="r.xlsx"))
    assert "not a workbook" in error.message


def test_a_workbook_that_unpacks_to_too_much(tmp_path: Path) -> None:
    import zipfile

    with (
        zipfile.ZipFile(tmp_path / "r.xlsx", "w", zipfile.ZIP_DEFLATED) as archive,
        archive.open("xl/worksheets/sheet1.xml", "w", force_zip64=True) as part,
    ):
        for _ in range(21):
            part.write(bytes(10_000_000))
    error = refusal(read_job, sheet_job(tmp_path, b"", name="r.xlsx"))
    assert error.found == "210 MB unpacked"


def test_a_cell_far_away(tmp_path: Path) -> None:
    """Refused before the empty cells between are walked through."""
    from openpyxl import Workbook

    book = Workbook()
    book.active["A1"] = "cylinder"
    book.active["XFD1048576"] = 1
    book.save(tmp_path / "r.xlsx")
    error = refusal(read_job, sheet_job(tmp_path, b"", name="r.xlsx"))
    assert error.found == "1048576 rows, 16384 columns"


HEADER = "cylinder,depth,axis,diameter\n"
BAD_SHEETS: dict[str, tuple[str, int | None, str, str, str]] = {
    "column missing": ("cylinder,depth,diameter\n1,1,62\n", 1, "axis", "missing", "diameter"),
    "extra column": (
        "cylinder,depth,axis,diametr\n1,1,pin,62\n",
        1,
        "diametr",
        "'diameter'",
        "dial",
    ),
    "column twice": ("cylinder,depth,depth,axis\n", 1, "depth", "twice", "depth"),
    "unknown header unit": (
        "cylinder,depth,axis,diameter [cm]\n",
        1,
        "diameter",
        "unknown unit",
        "cm",
    ),
    "unit of a text": ("cylinder [mm],depth,axis,diameter\n", 1, "cylinder", "no unit", "mm"),
    "unknown unit": (
        "cylinder,depth,axis,diameter,unit\n1,1,pin,62,cm\n",
        2,
        "unit",
        "unknown unit",
        "cm",
    ),
    "decimal comma among commas": (HEADER + "1,10,pin,62,31\n", 2, "diameter", "comma", "5"),
    "quoted decimal comma": (HEADER + '1,10,pin,"62,31"\n', 2, "diameter", "ambiguous", "62,31"),
    "points and commas": (
        (HEADER + "1,10,pin,62.31\n1,11,pin,62!30\n").replace(",", ";").replace("!", ","),
        3,
        "diameter",
        "row 2 has '62.31'",
        "62,30",
    ),
    "thousands and commas": (
        HEADER.replace(",", ";") + "1;10;pin;1.062,31\n",
        2,
        "diameter",
        "ambiguous",
        "1.062,31",
    ),
    "separated two ways": ("cylinder;depth,axis\n", 1, "", "two ways", "comma and semicolon"),
    "row too short": (HEADER + "1,10,pin\n", 2, "diameter", "one cell", "3 cells"),
    "open quote": (HEADER + '1,10,"pin,62\n', 2, "", "cannot be read", "quotes"),
    "header only": (HEADER, 1, "", "no readings stand below", "a reading"),
    "blank header": (",,,\n1,1,pin,62\n", 2, "1", "unknown column", "cylinder"),
    "unknown cylinder": (HEADER + "1,1,pin,62\n3,1,pin,62\n", 3, "cylinder", "unknown", "3"),
    "cylinder without rows": (HEADER + "3,1,pin,62\n", None, "cylinder", "no readings", "'1'"),
    "no figure": (HEADER + "1,1,pin,\n", 1, "", "no readings stand below", "a reading"),
    "NaN": (HEADER + "1,1,pin,NaN\n", 2, "diameter", "not a number", "NaN"),
    "infinity": (HEADER + "1,1,pin,inf\n", 2, "diameter", "not a number", "inf"),
    "negative": (HEADER + "1,1,pin,-62\n", 2, "diameter", "above zero", "-62"),
    "unknown unit in a cell": (HEADER + "1,1,pin,62 cm\n", 2, "diameter", "unknown unit", "cm"),
    "unknown axis": (HEADER + "1,1,side,62\n", 2, "axis", "no axis", "side"),
    "two at one place": (
        HEADER + "1,1,pin,62\n1,1.0,90,62.03001\n",
        3,
        "diameter",
        "two readings",
        "62 before",
    ),
}


@pytest.mark.parametrize("case", BAD_SHEETS)
def test_a_sheet_refused(tmp_path: Path, case: str) -> None:
    sheet, row, field, words, more = BAD_SHEETS[case]
    error = refusal(read_job, sheet_job(tmp_path, sheet))
    assert (error.file, error.row, error.field) == (str(tmp_path / "sheet.csv"), row, field)
    assert words in error.message
    assert more in str(error)


def test_a_figure_of_the_other_kind(tmp_path: Path) -> None:
    error = refusal(read_job, sheet_job(tmp_path, PLAIN, 'readings_as = "dial"\nzero = 62'))
    assert (error.field, error.found, error.allowed) == ("dial", "diameter", "dial filled")


def test_a_dial_sheet_without_zero_names_the_cylinder(tmp_path: Path) -> None:
    error = refusal(read_job, sheet_job(tmp_path, "cylinder,depth,axis,dial\n1,1,pin,0.1\n"))
    assert (error.row, error.field) == ("cylinder '1'", "zero")
    assert f"0.1 in {tmp_path / 'sheet.csv'}, row 2" in str(error)


def test_dial_from_a_size_and_from_the_piston(tmp_path: Path) -> None:
    lines = 'readings_as = "dial"\nreadings = [[10, "pin", -0.01], [10, 45, "1 thou"]]\n'
    found = cylinder(inline_job(tmp_path, f"zero = 62.25\n{lines}"))
    assert found.zero == GaugeZero(size=6_225_000)
    assert [(r.size, r.dial) for r in found.readings] == [(6_224_000, -1000), (6_227_540, 2540)]
    old = cylinder(inline_job(tmp_path, f'zero = "piston"\nzero_piston = 62.176\n{lines}'))
    assert old.zero == GaugeZero(size=6_217_600, on_piston=True)
    new = cylinder(
        inline_job(tmp_path, f'piston = "P"\npiston_size = 62.19\nzero = "piston"\n{lines}')
    )
    assert new.zero == GaugeZero(size=6_219_000, on_piston=True)
    assert new.piston_size == 6_219_000
    only = cylinder(inline_job(tmp_path, f'piston_size = 62.19\nzero = "piston"\n{lines}'))
    assert (only.zero, only.piston_size) == (new.zero, None)


def test_a_sheet_may_mix_diameters_and_dials(tmp_path: Path) -> None:
    sheet = "cylinder,depth,axis,diameter,dial\n1,10,thrust,62.31,\n1,10,pin,,0.05\n"
    assert places(cylinder(sheet_job(tmp_path, sheet, "zero = 62.25"))) == WANTED


def test_rows_and_tables_may_mix(tmp_path: Path) -> None:
    found = cylinder(
        inline_job(
            tmp_path, 'readings = [[10, "thrust", 62.31], {depth = 10, axis = "pin", size = 62.3}]'
        )
    )
    assert places(found) == WANTED


def test_cylinders_share_a_sheet(tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text(PLAIN + "left,10,pin,62.29\n", encoding="utf-8")
    more = 'material = "iron"\nreadings_file = "r.csv"\n'
    job = read_job(
        job_file(
            tmp_path, f'{HEAD}[[cylinder]]\nname = 1\n{more}[[cylinder]]\nname = "left"\n{more}'
        )
    )
    assert [len(c.readings) for c in job.cylinders] == [2, 1]


def test_the_fingerprint_is_of_what_the_files_say(tmp_path: Path) -> None:
    first = read_job(sheet_job(tmp_path, PLAIN)).fingerprint
    again = read_job(sheet_job(tmp_path, "\ufeff" + PLAIN.replace("\n", "\r\n"))).fingerprint
    other = read_job(sheet_job(tmp_path, PLAIN.replace("62.31", "62.32"))).fingerprint
    named = read_job(sheet_job(tmp_path, PLAIN, "scratch = 0.1")).fingerprint
    assert first == again
    assert len({first, other, named}) == 3


def test_missing_sheet_names_the_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        read_job(sheet_job(tmp_path, b""))
