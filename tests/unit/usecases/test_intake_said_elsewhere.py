"""Lists in which sheets, headings or the rows beside say what a row does not. All are invented."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from fitsolver.base.errors import InputError
from fitsolver.records.intake import IntakeAnswer
from fitsolver.usecases.intake import Told, intake

ANSWERS: dict[str, Any] = {"currency": "EUR", "lead_days": 6, "clearance": {"": (4_500, 5_500)}}
HEAD = ("Part no", "Description", "Engine", "Price", "Stock")
SIZED = ("Part no", "Engine", "Bore", "Oversize", "Price", "Stock")
STATED = ("Part no", "Engine", "Std bore", "Oversize", "Price", "Stock")
KITS = (
    ("K-1", "Piston kit 54.00 STD", "P54", 50.0, 2),
    ("K-2", "Piston kit 54.00 +0.25", "P54", 52.5, 0),
)


def taken(file: Path, **told: Any) -> IntakeAnswer:
    into = file.parent / "shelf"
    return intake(file, into, told=Told(**{**ANSWERS, **told}), agreed=True)


def text(folder: Path, *rows: tuple[object, ...]) -> Path:
    file = folder / "list.csv"
    file.write_text("\n".join(";".join(map(str, row)) for row in rows), encoding="utf-8")
    return file


def book(folder: Path, **sheets: tuple[tuple[object, ...], ...]) -> tuple[Workbook, Path]:
    made = Workbook()
    made.remove(made.worksheets[0])
    for name, rows in sheets.items():
        sheet = made.create_sheet(name.replace("_", " "))
        for row in rows:
            sheet.append(row)
    file = folder / "list.xlsx"
    made.save(file)
    return made, file


def test_names_of_sheets_say_what_articles_are(tmp_path: Path) -> None:
    kits = (SIZED, ("K-1", "P54", 54.0, "STD", 50.0, 2), ("K-2", "P54", 54.0, "+0.25", 52.5, 0))
    rings = (SIZED, ("R-1", "P54", 54.0, "STD", 9.0, 2), ("R-2", "P54", 54.0, "+0.25", 9.5, 0))
    _, file = book(tmp_path, Piston_kits=kits, Ring_sets=rings)
    found = taken(file, columns={"description": ""})
    assert [(a.number, a.kind, a.nominal_bore) for a in found.articles] == [
        ("K-1", "piston kit", 5_400_000), ("K-2", "piston kit", 5_425_000),
        ("R-1", "rings", 5_400_000), ("R-2", "rings", 5_425_000),
    ]  # fmt: skip


def test_headings_between_rows_say_what_articles_are(tmp_path: Path) -> None:
    file = text(
        tmp_path, SIZED, ("Piston kits",), ("K-1", "P54", "54.00", "STD", "50.00", 2),
        ("K-2", "P54", "54.00", "+0.25", "52.50", 0), ("Ring sets",),
        ("R-1", "P54", "54.00", "+0.25", "9.50", 2),
    )  # fmt: skip
    found = taken(file, columns={"description": ""})
    assert [(a.number, a.kind) for a in found.articles] == [
        ("K-1", "piston kit"), ("K-2", "piston kit"), ("R-1", "rings"),
    ]  # fmt: skip


def test_a_hidden_sheet_is_read_and_told(tmp_path: Path) -> None:
    more = (HEAD, ("K-3", "Piston kit 54.00 +0.50", "P54", 55.0, 1))
    made, file = book(tmp_path, Now=(HEAD, *KITS), Apart=more)
    made["Apart"].sheet_state = "hidden"
    made.save(file)
    found = taken(file)
    assert [a.number for a in found.articles] == ["K-1", "K-2", "K-3"]
    assert "Hidden sheets were read too: Apart." in found.cautions


def test_a_hidden_copy_of_the_list_is_passed_over(tmp_path: Path) -> None:
    """Last year's prices: their rows would contradict those that are shown."""
    old = tuple((*row[:3], 40.0, 9) for row in KITS)
    made, file = book(tmp_path, Now=(HEAD, *KITS), Old=(HEAD, *old))
    made["Old"].sheet_state = "hidden"
    made.save(file)
    found = taken(file)
    assert [(a.number, a.price) for a in found.articles] == [("K-1", 5_000), ("K-2", 5_250)]
    assert not found.unclear
    assert "Hidden sheets with the numbers of others were left out: Old." in found.cautions


def test_a_turned_sheet_is_refused(tmp_path: Path) -> None:
    turned = tuple(zip(HEAD, *KITS, *KITS, *KITS, strict=True))
    _, file = book(tmp_path, List=turned)
    with pytest.raises(InputError, match="this sheet is turned"):
        taken(file)


def test_rows_without_an_oversize_are_asked(tmp_path: Path) -> None:
    rows = (
        STATED, ("K-1", "P54", "54.00", "", "50.00", 2),
        ("K-2", "P54", "54.00", "+0.25", "52.50", 0),
        ("K-3", "P54", "54.00", "+0.50", "52.50", 0),
    )  # fmt: skip
    told: dict[str, Any] = {"columns": {"description": ""}, "kind": "piston kit"}
    asked = taken(text(tmp_path, *rows), **told)
    assert "blank_is_standard" in [one.key for one in asked.asked]
    assert [a.number for a in asked.articles] == ["K-2", "K-3"]
    found = taken(text(tmp_path, *rows), **told, blank_is_standard=True)
    assert [(a.number, a.oversize) for a in found.articles] == [
        ("K-1", 0), ("K-2", 25_000), ("K-3", 50_000),
    ]  # fmt: skip


def test_a_gasket_without_a_thickness_stands_among_the_others(tmp_path: Path) -> None:
    rows = (("G-1", "Head gasket", "P54", "3.00", 2), ("G-2", "Head gasket 0.80", "P54", "3.10", 2))
    found = taken(text(tmp_path, HEAD, *KITS, *rows))
    assert [(a.number, a.thickness) for a in found.articles if a.kind == "gasket"] == [
        ("G-1", None), ("G-2", 80_000),
    ]  # fmt: skip
    shelf = tmp_path / "shelf"
    assert "G-1,gasket,P54" in (shelf / "others.csv").read_text()
    assert "G-1" not in (shelf / "gaskets.csv").read_text()
    (said,) = (one for one in found.cautions if "gasket" in one)
    assert said.startswith("1 gasket without a thickness or a place in others.csv,")


def test_a_price_for_a_unit_of_sale(tmp_path: Path) -> None:
    """Clips are 20.00 a hundred: 0.20 each."""
    head = (*HEAD, "Price per")
    kits = tuple((*row, 1) for row in KITS)
    found = taken(text(tmp_path, head, *kits, ("C-1", "Circlip", "P54", "20.00", 90, 100)))
    assert [(a.number, a.price) for a in found.articles] == [
        ("K-1", 5_000), ("K-2", 5_250), ("C-1", 20),
    ]  # fmt: skip


def test_places_in_a_row_of_sizes_by_a_legend(tmp_path: Path) -> None:
    rows = (
        SIZED, ("K-1", "P54", "54.00", "STD", "50.00", 2),
        ("K-2", "P54", "54.00", "R1", "52.50", 0),
        ("K-3", "P54", "54.00", "R2", "52.50", 1), ("R1 = +0.25, R2 = +0.50",),
    )  # fmt: skip
    found = taken(text(tmp_path, *rows), columns={"description": ""}, kind="piston kit")
    assert [(a.number, a.oversize) for a in found.articles] == [
        ("K-1", 0), ("K-2", 25_000), ("K-3", 50_000),
    ]  # fmt: skip


def test_dittos(tmp_path: Path) -> None:
    rows = (KITS[0], ("K-2", "Piston kit 54.00 +0.25", "dto.", "52.50", 0))
    found = taken(text(tmp_path, HEAD, *rows))
    assert [(a.number, a.family) for a in found.articles] == [("K-1", "P54"), ("K-2", "P54")]


@pytest.mark.parametrize(
    ("clearance", "doubted"),
    [((-4_000, 6_000), False), ((-6_000, 6_000), True), ((4_500, 22_000), True)],
)
def test_a_clearance_that_no_engine_has(
    tmp_path: Path, clearance: tuple[int, int], doubted: bool
) -> None:
    """A coated skirt is up to bore / 1000 over its bore, 0.054 mm; docs/doubts.md."""
    found = taken(text(tmp_path, HEAD, *KITS), clearance={"": clearance})
    assert [one.key for one in found.asked] == ["clearance"] * doubted
    assert found.taken_in is not doubted


def test_one_row_without_an_engine_type_is_none_of_a_group(tmp_path: Path) -> None:
    """Oil at the end of a list belongs to no engine type above it."""
    other = tuple((f"L{row[0]}", row[1].replace("54", "62"), "P62", *row[3:]) for row in KITS)
    oil = ("X-1", "Circlip", "", "2.00", 5)
    asked = taken(text(tmp_path, HEAD, *KITS, *other, oil))
    assert [(one.key, one.proposed) for one in asked.asked] == [("fill_down", "no")]
    assert asked.asked[0].question.startswith("1 row has no engine type")


def test_another_layout_without_a_known_number_is_told_what_is_missing(tmp_path: Path) -> None:
    assert taken(text(tmp_path, HEAD, *KITS)).taken_in
    other = text(tmp_path, ("Bin", "Kit", "Count"), ("B7", "Piston kit", 3))
    with pytest.raises(InputError, match="its headings differ") as refused:
        taken(other)
    assert all(title in refused.value.message for title in HEAD)
    assert refused.value.found == "Bin, Kit, Count"


def test_one_engine_type_in_every_description_is_asked_and_read(tmp_path: Path) -> None:
    head = ("Part no", "Description", "Price", "Stock")
    rows = [
        (f"K-{n}", f"Piston kit Kestrel K60 60.00 {size}", "41.50", n)
        for n, size in enumerate(("STD", "+0.25", "+0.50"))
    ]
    file = text(tmp_path, head, *rows)
    (asked,) = taken(file).asked
    assert asked.key == "column family" and "Kestrel K60" in asked.question
    found = taken(file, columns={"family": "Description"})
    assert [a.nominal_bore for a in found.articles] == [6_000_000, 6_025_000, 6_050_000]
    assert {a.family for a in found.articles} == {"Kestrel K60"}
