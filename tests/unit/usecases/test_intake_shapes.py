"""Lists that are no table of one article a row, and rows that look right and are not.

All lists are invented.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook
from openpyxl.styles import Font

from fitsolver.records.intake import IntakeAnswer
from fitsolver.usecases.intake import Told, intake

ANSWERS: dict[str, Any] = {"currency": "EUR", "lead_days": 6, "clearance": {"": (4_500, 5_500)}}
HEAD = "Part no;Description;Engine;Price;Stock"


def taken(folder: Path, text: str, **told: Any) -> IntakeAnswer:
    path = folder / "list.csv"
    path.write_text(text, encoding="utf-8")
    return intake(path, folder / "shelf", told=Told(**{**ANSWERS, **told}), agreed=True)


def reasons(found: IntakeAnswer) -> dict[str, str]:
    return {item.number: item.reason for item in found.unclear}


ACROSS = "\n".join((
    "Piston kits 2026",
    "Part no;Engine;Bore;STD;+0.25;+0.50;+1.00",
    "K54;P54;54.00;58.40;59.90;61.40;-",
    "K62;P62;62.00;66.00;67.50;;72.00",
))  # fmt: skip


def test_sizes_across_are_asked_and_read(tmp_path: Path) -> None:
    """A row an engine, a column a size, the price where they meet; a dash is not sold."""
    told = {"columns": {"stock": "", "description": ""}}
    asked = taken(tmp_path, ACROSS, **told)
    assert [one.key for one in asked.asked if one.needed] == [
        "sizes_across", "number_joint", "kind",
    ]  # fmt: skip
    assert [one.proposed for one in asked.asked] == ["price", "", "piston kit"]
    answers = {"sizes_across": "price", "number_joint": "dash", "kind": "piston kit"}
    found = taken(tmp_path, ACROSS, **told, **answers)
    assert [(a.number, a.nominal_bore, a.price, a.row) for a in found.articles] == [
        ("K54-STD", 5_400_000, 5_840, 3),
        ("K54-+0.25", 5_425_000, 5_990, 3),
        ("K54-+0.50", 5_450_000, 6_140, 3),
        ("K62-STD", 6_200_000, 6_600, 4),
        ("K62-+0.25", 6_225_000, 6_750, 4),
        ("K62-+1.00", 6_300_000, 7_200, 4),
    ]
    again = intake(tmp_path / "list.csv", tmp_path / "shelf")
    assert again.taken_in and not (again.new or again.gone or again.changed)


def test_numbers_and_prices_below_each_size(tmp_path: Path) -> None:
    text = "\n".join((
        ";;STD;;+0.25;;+0.50;",
        "Engine;Description;Part no;Price;Part no;Price;Part no;Price",
        "P54;Piston kit 54.00;K1;58.40;K2;59.90;K3;61.40",
        "P62;Piston kit 62.00;K4;66.00;K5;67.50;K6;69.00",
    ))  # fmt: skip
    found = taken(tmp_path, text, columns={"stock": ""})
    assert [(a.number, a.nominal_bore, a.price) for a in found.articles] == [
        ("K1", 5_400_000, 5_840), ("K2", 5_425_000, 5_990), ("K3", 5_450_000, 6_140),
        ("K4", 6_200_000, 6_600), ("K5", 6_225_000, 6_750), ("K6", 6_250_000, 6_900),
    ]  # fmt: skip


def test_tables_side_by_side(tmp_path: Path) -> None:
    titles = "Part no;Description;Price;Stock"
    text = "\n".join((
        "Engine: P54;;;;;Engine: P62;;;",
        f"{titles};;{titles}",
        "K1;Piston kit 54.00 STD;58.40;2;;K4;Piston kit 62.00 STD;66.00;1",
        "K2;Piston kit 54.00 +0.25;59.90;0;;K5;Piston kit 62.00 +0.25;67.50;0",
        "K3;Piston kit 54.00 +0.50;61.40;4;;;;;",
    ))  # fmt: skip
    found = taken(tmp_path, text)
    assert {(a.number, a.family, a.nominal_bore, a.stock) for a in found.articles} == {
        ("K1", "P54", 5_400_000, 2), ("K2", "P54", 5_425_000, 0), ("K3", "P54", 5_450_000, 4),
        ("K4", "P62", 6_200_000, 1), ("K5", "P62", 6_225_000, 0),
    }  # fmt: skip


def test_fractions_of_an_inch(tmp_path: Path) -> None:
    """2 7/16 in is 61.9125 mm (1 in = 25.4 mm exactly); a 64th is given to half a tick."""
    text = "\n".join((
        HEAD,
        'K1;"Piston kit 2 7/16"" STD";A;58.40;2',
        'K2;"Piston kit 2 7/16"" +.020";A;59.40;2',
        "K3;Piston kit 2-29/64 STD;B;59.40;2",
        "K4;Piston kit 2½ +.010;C;59.40;2",
        "K5;Piston kit 2½ STD;C;59.40;2",
    ))  # fmt: skip
    found = taken(tmp_path, text)
    assert {a.number: a.nominal_bore for a in found.articles} == {
        "K1": 6_191_250, "K2": 6_242_050, "K3": 6_230_937, "K4": 6_375_400, "K5": 6_350_000,
    }  # fmt: skip


def test_a_column_that_says_what_an_article_is(tmp_path: Path) -> None:
    text = "\n".join((
        "Part no;Product group;Engine;Bore;Oversize;Price;Stock",
        "K1;Piston kit;P54;54.00;STD;58.40;2",
        "R1;Ring set;P54;54.00;0.25;9.40;2",
        "K2;Piston kit;P54;54.00;0.25;58.40;2",
    ))  # fmt: skip
    found = taken(tmp_path, text, columns={"description": ""})
    assert {(a.number, a.kind, a.nominal_bore) for a in found.articles} == {
        ("K1", "piston kit", 5_400_000), ("R1", "rings", 5_425_000),
        ("K2", "piston kit", 5_425_000),
    }  # fmt: skip


ROWS = ("K1;Piston kit 54.00 STD;P54;58.40;2", "K2;Piston kit 54.00 +0.25;P54;59.40;2")


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("K3;Piston kit 54.00 +0.50;P54;$ 61.40;2", "it is in USD, the list in EUR"),
        ("K3;Piston kit 54.00 +0.50;P54;1.250;2", "'1.250' may be in thousands"),
        ("K3;Piston kit 54.00 +0.50 16;P54;61.40;2", "'16' may be a grade or a number"),
        ("K3;Ring set 54.00x1.50;P54;9.40;2", "it keeps to none of the patterns"),
        ("K3;Piston kit 54.00 +0.50;P54;discontinued;2", "it says 'discontinued'"),
        ("Discontinued:;;;;\nK3;Piston kit 54.00 +0.50;P54;61.40;2",
         "it stands below 'Discontinued:'"),
    ],
)  # fmt: skip
def test_a_row_that_nothing_confirms_is_named(tmp_path: Path, row: str, reason: str) -> None:
    found = taken(tmp_path, "\n".join((HEAD, *ROWS, row)))
    assert [a.number for a in found.articles] == ["K1", "K2"]
    assert reasons(found) == {"K3": reason}


def test_a_row_with_a_cell_too_many_is_named(tmp_path: Path) -> None:
    """A decimal mark that is the mark between cells, too: 1;250.00 is no price of 1."""
    rows = [f"K{n};Piston kit {54 + n * 0.25:.2f} +{n * 0.25:.2f};P54;58.40;2" for n in range(5)]
    found = taken(tmp_path, "\n".join((HEAD, *rows, "K9;Piston kit 54.00 +0.50;P54;1;250.00;2")))
    assert len(found.articles) == 5
    assert reasons(found) == {"K9": "it has more cells than the other rows"}


def test_a_row_struck_out_is_named(tmp_path: Path) -> None:
    book = Workbook()
    sheet: Any = book.active
    for row in (HEAD, *ROWS):
        sheet.append(row.split(";"))
    sheet["A3"].font = Font(strike=True)
    book.save(tmp_path / "list.xlsx")
    found = intake(tmp_path / "list.xlsx", tmp_path / "shelf", told=Told(**ANSWERS), agreed=True)
    assert [a.number for a in found.articles] == ["K1"]
    assert reasons(found) == {"K2": "its text is struck out"}


def test_sizes_of_pistons_are_no_bores(tmp_path: Path) -> None:
    text = "\n".join((
        "Part no;Description;Engine;D;Oversize;Price;Stock",
        "K1;Piston kit;P54;53.955;STD;58.40;2",
        "K2;Piston kit;P54;54.205;0.25;58.40;2",
        "K3;Piston kit;P62;61.945;STD;58.40;2",
        "K4;Piston kit;P62;62.445;0.50;58.40;2",
    ))  # fmt: skip
    assert [one.key for one in taken(tmp_path, text).asked] == ["bores_are"]
    assert not taken(tmp_path, text, bores_are="pistons").articles
    assert len(taken(tmp_path, text, bores_are="bores").articles) == 4


def test_inch_oversizes_among_millimetres_are_asked(tmp_path: Path) -> None:
    """0.02 may be a step of grades in millimetres, or twenty thousandths of an inch."""
    text = "\n".join((
        "Part no;Description;Engine;Bore;Oversize;Price;Stock",
        "K1;Piston kit;P54;54.00;0;58.40;2",
        "K2;Piston kit;P54;54.00;0.01;58.40;2",
        "K3;Piston kit;P54;54.00;0.02;58.40;2",
    ))  # fmt: skip
    (asked,) = [one for one in taken(tmp_path, text).asked if one.needed]
    assert (asked.key, asked.proposed) == ("oversize_unit", "")


SMALLEST = {"P54": 54.0, "P62": 62.0, "P70": 70.0, "P58": 58.0, "P66": 66.25}


def test_the_smallest_bore_of_a_family_may_be_no_standard_one(tmp_path: Path) -> None:
    rows = [
        f"{name}{n};Piston kit {bore + n * 0.25:.2f};{name};58.40;2"
        for name, bore in (
            ("P54", 54.0),
            ("P62", 62.0),
            ("P70", 70.0),
            ("P58", 58.0),
            ("P66", 66.25),
        )
        for n in range(2)
    ]
    found = taken(tmp_path, "\n".join((HEAD, *rows)), smallest_is_standard=True)
    assert {item.family for item in found.articles} == {"P54", "P62", "P70", "P58"}
    assert {item.field for item in found.unclear} == {"bore"}
