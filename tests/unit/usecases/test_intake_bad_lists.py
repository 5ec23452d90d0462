"""Lists as they should not be: one message, and the folder whole or as it was."""

from __future__ import annotations

from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest
from openpyxl import Workbook

from fitsolver.base.errors import InputError
from fitsolver.reading.list_sheets import read_sheets
from fitsolver.usecases.intake import Told, intake, undo_intake

ANSWERS = Told(currency="EUR", lead_days=6, clearance={"": (4_500, 5_500)})
HEAD = ("Part no", "Description", "Engine", "Price", "Stock")
ROWS = (
    ("K-1", "PISTON KIT 54.00 STD (A)", "P54", "50.00", "2"),
    ("K-2", "PISTON KIT 54.00 +0.25 (A)", "P54", "52.50", "0"),
)


def text(*rows: tuple[str, ...], mark: str = ";") -> str:
    return "".join(mark.join(row) + "\n" for row in rows)


@pytest.mark.parametrize(
    ("name", "content", "message"),
    [
        ("list.xls", b"\xd0\xcf\x11\xe0", "no such list"),
        ("list.ods", b"PK", "no such list"),
        ("list.zip", b"PK", "no such list"),
        ("list.pdf", b"%PDF-1.7", "no such list"),
        ("list", b"a;b", "no such list"),
        ("list.csv", b"", "the file is empty"),
        ("list.csv", b"%PDF-1.7\n%\0\xff", "not a text file"),
        ("list.csv", b"PK\x03\x04\0\0", "not a text file"),
        ("list.xlsx", b"\xd0\xcf\x11\xe0 of another kind", "not a workbook"),
        ("list.csv", b"dear customer\nour prices rise\n", "no column"),
    ],
)
def test_what_is_no_list(tmp_path: Path, name: str, content: bytes, message: str) -> None:
    file = tmp_path / name
    file.write_bytes(content)
    with pytest.raises(InputError, match=message) as refused:
        intake(file, tmp_path / "shelf", told=ANSWERS, agreed=True)
    assert name in str(refused.value)
    assert not (tmp_path / "shelf").exists()


def test_a_file_of_200_mb(tmp_path: Path) -> None:
    file = tmp_path / "list.csv"
    with file.open("wb") as stream:
        stream.truncate(200_000_000)  # sparse: takes no room
    with pytest.raises(InputError, match=r"list\.csv"):
        intake(file, tmp_path / "shelf", told=ANSWERS, agreed=True)


@pytest.mark.parametrize("mark", [";", ",", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_separators_and_encodings(tmp_path: Path, mark: str, encoding: str) -> None:
    file = tmp_path / "list.csv"
    rows = (HEAD, *ROWS, ("K-3", "Kolbensatz Übermaß 54.50 +0.50 (A)", "P54", "55.00", "1"))
    file.write_text(text(*rows, mark=mark), encoding=encoding)
    found = intake(file, tmp_path / "shelf", told=ANSWERS, agreed=True)
    assert [a.nominal_bore for a in found.articles] == [5_400_000, 5_425_000, 5_450_000]


def test_two_prices_a_part_are_asked(tmp_path: Path) -> None:
    file = tmp_path / "list.csv"
    head = (*HEAD[:3], "List price", "Trade price", "Stock")
    rows = [(*row[:3], row[3], "40.00", row[4]) for row in ROWS]
    file.write_text(text(head, *rows))
    found = intake(file, tmp_path / "shelf", told=ANSWERS, agreed=True)
    (asked,) = found.asked
    assert asked.key == "column price"
    assert "List price" in asked.question and "Trade price" in asked.question
    assert not found.taken_in
    told = Told(currency="EUR", lead_days=6, clearance=ANSWERS.clearance,
                columns={"price": "Trade price"})  # fmt: skip
    taken = intake(file, tmp_path / "shelf", told=told, agreed=True)
    assert taken.taken_in
    assert [a.price for a in taken.articles] == [4_000, 4_000]
    assert "List price" in taken.unread


def test_a_number_with_another_size(tmp_path: Path) -> None:
    file = tmp_path / "list.csv"
    more = ("K-3", "PISTON KIT 54.00 +0.50 (A)", "P54", "55.00", "1")
    other = ("K-1", "PISTON KIT 54.00 +0.75 (A)", "P54", "1.00", "1")
    file.write_text(text(HEAD, *ROWS, more, other))
    found = intake(file, tmp_path / "shelf", told=ANSWERS, agreed=True)
    assert [a.number for a in found.articles] == ["K-2", "K-3"]
    assert [(u.number, u.field) for u in found.unclear] == [("K-1", "number")] * 2


def test_a_list_without_sizes(tmp_path: Path) -> None:
    file = tmp_path / "list.csv"
    file.write_text(text(HEAD, *((row[0], "Piston kit", *row[2:]) for row in ROWS)))
    found = intake(file, tmp_path / "shelf", told=ANSWERS, agreed=True)
    assert not found.taken_in and not found.articles
    assert "column bore" in [asked.key for asked in found.asked]
    assert not (tmp_path / "shelf").exists()


def workbook(folder: Path, *rows: tuple[object, ...]) -> tuple[Workbook, Any, Path]:
    book = Workbook()
    sheet: Any = book.active
    for row in (HEAD, *rows):
        sheet.append(row)
    return book, sheet, folder / "list.xlsx"


NUMBERS = (
    ("K-1", "PISTON KIT 54.00 STD (A)", "P54", 50.0, 2),
    ("K-2", "PISTON KIT 54.00 +0.25 (A)", "P54", 52.5, 0),
    ("K-3", "PISTON KIT 54.00 +0.50 (A)", "P54", 55.0, 1),
)


def test_a_formula_without_a_result_is_named(tmp_path: Path) -> None:
    """No program has worked it out: the row has no price, not one on request."""
    book, sheet, file = workbook(tmp_path, *NUMBERS)
    sheet["D4"], sheet["F4"] = "=40+15", "=1+1"  # nothing is read from the other
    sheet["F1"] = "EAN"
    book.save(file)
    found = intake(file, tmp_path / "shelf", told=ANSWERS, agreed=True)
    assert [(a.number, a.price) for a in found.articles] == [("K-1", 5_000), ("K-2", 5_250)]
    (left,) = found.unclear
    assert (left.row, left.field, left.reason) == (
        4, "price", "a formula of which no result is stored",
    )  # fmt: skip


def test_hidden_rows_and_columns_are_told(tmp_path: Path) -> None:
    book, sheet, file = workbook(tmp_path, *NUMBERS)
    sheet.row_dimensions[3].hidden = True
    sheet.column_dimensions["E"].hidden = True
    book.save(file)
    found = intake(file, tmp_path / "shelf", told=ANSWERS, agreed=True)
    assert len(found.articles) == 3
    assert "Hidden rows were read too: 3." in found.cautions
    assert "Hidden columns were read too: Stock." in found.cautions


def test_merged_cells_count_in_each_row_but_pieces(tmp_path: Path) -> None:
    book, sheet, file = workbook(tmp_path, *NUMBERS)
    sheet["C3"] = sheet["C4"] = None
    sheet.merge_cells("C2:C4")  # the engine type
    sheet.merge_cells("E3:E4")  # pieces
    book.save(file)
    found = intake(file, tmp_path / "shelf", told=ANSWERS, agreed=True)
    assert [(a.number, a.family) for a in found.articles] == [("K-1", "P54")]
    assert {(u.number, u.reason) for u in found.unclear} == {
        ("K-2", "a merged cell says it for several rows"),
        ("K-3", "a merged cell says it for several rows"),
    }
    assert "Merged cells count in each of their rows: 2, 3, 4." in found.cautions


def test_rings_alone(tmp_path: Path) -> None:
    file = tmp_path / "list.csv"
    rows = (
        ("R-1", "RING SET 54.00 STD", "P54", "9.00", "2"),
        ("R-2", "RING SET 54.00 +0.25", "P54", "9.50", "2"),
        ("P-1", "PISTON PIN 16x45", "P54", "4.00", "2"),
        ("C-1", "CIRCLIP 16", "P54", "0.40", "12"),
    )
    file.write_text(text(HEAD, *rows))
    shelf = tmp_path / "shelf"
    found = intake(file, shelf, told=Told(currency="EUR", lead_days=6), agreed=True)
    assert found.taken_in and not found.unclear
    assert [a.nominal_bore for a in found.articles] == [5_400_000, 5_425_000, None, None]
    assert (shelf / "others.csv").read_text().splitlines()[1].startswith("R-1,rings,P54,54,0,")
    assert not (shelf / "pistons.csv").exists()
    again = intake(file, shelf)
    assert again.taken_in and not (again.new or again.gone or again.changed)


def test_undo_after_a_second_list(tmp_path: Path) -> None:
    file, shelf = tmp_path / "list.csv", tmp_path / "shelf"
    file.write_text(text(HEAD, *ROWS))
    intake(file, shelf, told=ANSWERS, agreed=True)
    before = (shelf / "pistons.csv").read_bytes()
    file.write_text(text(HEAD, ROWS[0]))
    intake(file, shelf)
    undo_intake(shelf)
    assert (shelf / "pistons.csv").read_bytes() == before


def test_a_workbook_that_is_a_packed_file(tmp_path: Path) -> None:
    with ZipFile(tmp_path / "list.xlsx", "w") as archive:
        archive.writestr("list.csv", "a;b\n")
    with pytest.raises(InputError, match=r"list\.xlsx"):
        read_sheets(tmp_path / "list.xlsx")
