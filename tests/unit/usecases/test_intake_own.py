"""What a person put into the tables of an intake, and slips that are told when they are made."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_folder import read_catalogue
from fitsolver.usecases.intake import intake
from tests.unit.usecases.test_intake import ANSWERS, ROWS, written

INCHES = 'format = 1\nname = "a"\nunits = "in"\ncurrency = "EUR"\n'


def taken(folder: Path, *rows: str) -> Path:
    shelf = folder / "shelf"
    assert intake(written(folder, *rows), shelf, told=ANSWERS, agreed=True).taken_in
    return shelf


def edited(shelf: Path, column: str, cells: dict[str, str]) -> None:
    with (shelf / "pistons.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        row[column] = cells.get(row["number"], row.get(column, ""))
    with (shelf / "pistons.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)


def skirt(shelf: Path) -> tuple[int, int]:
    piston = read_catalogue(shelf, "P54").pistons[0]
    return piston.skirt.low, piston.skirt.high


@pytest.mark.parametrize("later", [False, True])
def test_a_catalogue_in_inches_has_the_sizes_of_the_list(tmp_path: Path, later: bool) -> None:
    """54.00 mm stay 54.00 mm: before the first list, after it, and after the next one."""
    shelf = tmp_path / "shelf"
    if not later:
        shelf.mkdir()
        (shelf / "catalogue.toml").write_text(INCHES, encoding="utf-8")
    taken(tmp_path, *ROWS)
    (shelf / "catalogue.toml").write_text(INCHES, encoding="utf-8")
    assert skirt(shelf) == (5_394_500, 5_395_500)
    found = intake(written(tmp_path, *ROWS), shelf)
    assert found.taken_in and not found.changed
    assert not any("replaced" in caution for caution in found.cautions)
    assert skirt(shelf) == (5_394_500, 5_395_500)


def test_columns_of_ones_own_stay_by_number(tmp_path: Path) -> None:
    shelf = taken(tmp_path, *ROWS)
    edited(shelf, "compression_height [mm]", {"K-1": "30.1", "K-3": "31"})
    found = intake(written(tmp_path, *ROWS[:2]), shelf)
    assert "Columns put in by hand stay, by number: compression_height [mm] of 1." in found.cautions
    assert any("K-3 wait in set_aside.csv" in caution for caution in found.cautions)
    first, second = read_catalogue(shelf, "P54").pistons
    assert first.compression_height is not None and first.compression_height.low == 3_010_000
    assert second.compression_height is None
    intake(written(tmp_path, *ROWS), shelf)
    back = read_catalogue(shelf, "P62").pistons[0].compression_height
    assert back is not None and back.low == 3_100_000
    assert not (shelf / "set_aside.csv").exists()


def test_a_clearance_put_right_by_hand_stays(tmp_path: Path) -> None:
    shelf = taken(tmp_path, *ROWS)
    edited(shelf, "for_clearance_high [mm]", {"K-1": "0.05"})
    for _ in range(2):
        found = intake(written(tmp_path, *ROWS), shelf)
        (told,) = [caution for caution in found.cautions if "by hand in" in caution]
        assert "K-1 0.045 0.05 mm (intake.toml: 0.045 0.055 mm)" in told
        assert skirt(shelf) == (5_395_000, 5_395_500)


def test_a_figure_that_the_list_replaces_is_told_with_both(tmp_path: Path) -> None:
    shelf = taken(tmp_path, *ROWS)
    edited(shelf, "for_bore [mm]", {"K-1": "54.02"})
    found = intake(written(tmp_path, *ROWS), shelf)
    (told,) = [caution for caution in found.cautions if "replaced" in caution]
    assert "K-1 for_bore 54.020 mm to 54.000 mm" in told


def test_a_measured_skirt_takes_the_place_of_the_bore_it_is_made_for(tmp_path: Path) -> None:
    shelf = taken(tmp_path, *ROWS)
    for column in ("for_bore [mm]", "for_clearance_low [mm]", "for_clearance_high [mm]"):
        edited(shelf, column, {"K-1": ""})
    edited(shelf, "skirt_low [mm]", {"K-1": "53.95"})
    edited(shelf, "skirt_high [mm]", {"K-1": "53.96"})
    intake(written(tmp_path, *ROWS), shelf)
    assert skirt(shelf) == (5_395_000, 5_396_000)


def test_a_row_that_is_not_understood_is_not_gone(tmp_path: Path) -> None:
    shelf = taken(tmp_path, *ROWS)
    found = intake(written(tmp_path, ROWS[0], ROWS[1].replace("54.00", "54.10"), *ROWS[2:]), shelf)
    assert found.gone == () and [item.number for item in found.unclear] == ["K-2"]
    assert any("rows are not understood: K-2" in caution for caution in found.cautions)


def test_a_clearance_ten_times_too_large_is_asked(tmp_path: Path) -> None:
    """At most bore / 250 (docs/doubts.md): 0.216 mm of 54 mm."""
    told = replace(ANSWERS, clearance={"": (45_000, 55_000)})
    found = intake(written(tmp_path, *ROWS), tmp_path / "shelf", told=told, agreed=True)
    (asked,) = found.asked
    assert asked.key == "clearance" and "P54 0.55 mm told, 0.216 at most" in asked.question
    assert not found.taken_in


def test_a_misspelt_engine_is_named(tmp_path: Path) -> None:
    def rows(last: str) -> list[str]:
        engines = ["Tarn Twin 54"] * 3 + [last]
        sizes = ("STD", "+0.25", "+0.50", "+0.75")
        pairs = enumerate(zip(sizes, engines, strict=True))
        return [f"K-{n};PISTON KIT 54.00 {size} (A);{name};50.00;2" for n, (size, name) in pairs]

    def told(last: str) -> list[str]:
        file = written(tmp_path, *rows(last), "K-9;PISTON KIT 54.00 STD (B);Trn Twin 54;50.00;1")
        found = intake(file, tmp_path / "shelf", told=ANSWERS, agreed=False)
        return [caution for caution in found.cautions if "misspelt" in caution]

    assert told("Tarn Twin 54")[0].startswith("'Trn Twin 54' (K-9) has the bores of 'Tarn Twin 54'")
    assert not [line for line in told("Tarn Twin 56") if "56" in line]  # another figure


@pytest.mark.parametrize(("typed", "code"), [("EURO", "EUR"), ("€", "EUR"), ("pln", "PLN")])
def test_a_currency_has_three_letters(tmp_path: Path, typed: str, code: str) -> None:
    told = replace(ANSWERS, currency=typed)
    assert intake(written(tmp_path, *ROWS), tmp_path / "shelf", told=told).currency == code


def test_a_currency_that_is_none_or_another_than_the_list_says(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no currency"):
        intake(written(tmp_path, *ROWS), tmp_path / "s", told=replace(ANSWERS, currency="EUROS"))
    headings = "Part no;Description;Engine;Price EUR;Stock"
    told = replace(ANSWERS, currency="USD")
    found = intake(written(tmp_path, *ROWS, headings=headings), tmp_path / "s", told=told)
    assert any("are in EUR" in caution and "USD" in caution for caution in found.cautions)


def test_one_slip_of_an_oversize_is_one_row(tmp_path: Path) -> None:
    sizes = ("0,25", "0,50", "0,75", "1,00", "1,25", "1,50", "0,05")
    rows = [f"K-{n};PISTON KIT 54,00 +{size};P54;50,00;2" for n, size in enumerate(sizes)]
    rows.append("K-9;PISTON KIT 54,00 STD;P54;50,00;2")
    found = intake(written(tmp_path, *rows), tmp_path / "shelf", told=ANSWERS, agreed=True)
    assert found.taken_in and [item.number for item in found.unclear] == ["K-6"]
