"""A catalogue as one workbook: read as the folder that says the same."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from fitsolver.base.errors import InputError
from fitsolver.reading.book_folder import files_of_book
from fitsolver.reading.catalogue_folder import families_of, read_catalogue
from fitsolver.reading.family_sheet import family_sheets
from fitsolver.reading.files import MemoryFolder
from fitsolver.reading.job_file import read_job
from fitsolver.usecases.files import pick
from tests.unit.cli.run import DEMOS
from tests.unit.reading.files import CATALOGUE, TABLES

PUMP = DEMOS / "pump"


def saved(path: Path, sheets: dict[str, list[list[Any]]]) -> Path:
    book = Workbook()
    book.remove(book.active)
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


def typed(cell: str) -> Any:
    """A cell as a spreadsheet holds it: numbers as numbers."""
    try:
        return float(cell) if "." in cell else int(cell)
    except ValueError:
        return cell or None


def tables_of(folder: Path) -> dict[str, list[list[Any]]]:
    return {
        path.stem: [[typed(cell) for cell in row] for row in csv.reader(path.open())]
        for path in sorted(folder.glob("*.csv"))
        if path.stem in ("pistons", "rings", "gaskets", "kits", "routes", "stages")
    }


def head_of(folder: Path) -> list[list[Any]]:
    head = tomllib.loads((folder / "catalogue.toml").read_text())
    return [["key", "value"], *([key, value] for key, value in head.items())]


def figures(sheet: dict[str, Any], at: str = "") -> list[tuple[str, Any]]:
    """Every figure of a family sheet with its key as a workbook writes it."""
    found: list[tuple[str, Any]] = []
    for key, value in sheet.items():
        if key in ("window", "port", "gasket_place"):
            for item in value:
                names = [str(item[k]) for k in ("fit", "groove", "name", "place") if k in item]
                place = ".".join([key, *names])
                left = {
                    k: v for k, v in item.items() if k not in ("fit", "groove", "name", "place")
                }
                found += figures(left or {"least": 1}, f"{place}.")
        elif key in ("same_size", "mass_match"):
            [item] = value
            found += figures(item, f"{key}.") if item else [(key, "yes")]
        elif isinstance(value, dict):
            found += figures(value, f"{at}{key}.")
        elif isinstance(value, list):
            found.append((at + key, "; ".join(map(str, value))))
        elif isinstance(value, bool):
            found.append((at + key, "yes" if value else "no"))
        else:
            found.append((at + key, value))
    return found


def pump_book(path: Path) -> Path:
    sheet = tomllib.loads((PUMP / "family.toml").read_text())
    family = sheet.pop("family")
    rows = figures({k: v for k, v in sheet.items() if k != "format"})
    book = {
        "Catalogue": head_of(PUMP),
        "families": [["family", "key", "value"], *([family, *row] for row in rows)],
        **tables_of(PUMP),
    }
    return saved(path, book)


def test_the_pump_as_one_workbook_is_the_folder(tmp_path: Path) -> None:
    book, folder = read_catalogue(pump_book(tmp_path / "pump.xlsx")), read_catalogue(PUMP)
    alike = {"fingerprint": ""}
    assert book.model_copy(update=alike) == folder.model_copy(update=alike)


def test_its_family_figures_are_those_of_the_sheet(tmp_path: Path) -> None:
    path = pump_book(tmp_path / "pump.xlsx")
    [of_book], [of_folder] = family_sheets(path).values(), family_sheets(PUMP).values()
    wanted = {k: v for k, v in of_folder.data.items() if k != "format"}

    def ordered(data: dict[str, Any]) -> dict[str, Any]:
        windows = sorted(data["window"], key=lambda w: (w["fit"], w.get("groove", 0)))
        places = [{"least": 1, **place} for place in data["gasket_place"]]
        return {**data, "window": windows, "gasket_place": places}

    assert ordered(of_book.data) == ordered(wanted)
    assert families_of(path) == families_of(PUMP)


def test_a_job_takes_it_wherever_a_folder_is(tmp_path: Path) -> None:
    path = pump_book(tmp_path / "pump.xlsx")
    job = PUMP / "job.toml"
    of_book, of_folder = pick(job, path), pick(job)
    assert of_book.plan is not None
    assert of_book.plan.order == of_folder.plan.order  # type: ignore[union-attr]
    assert of_book.plan.cylinders == of_folder.plan.cylinders  # type: ignore[union-attr]
    assert read_job(job, catalogue=path).windows[0].owner == "family sheet"


def small(tmp_path: Path, change: Callable[[Any], None] = lambda _: None) -> Path:
    """A small workbook, changed by hand before it is saved."""
    head = tomllib.loads(CATALOGUE)
    book = Workbook()
    book.remove(book.active)
    rows = {"catalogue": [["key", "value"], *map(list, head.items())]}
    for name in ("pistons", "rings", "routes"):
        text = TABLES[f"{name}.csv"].splitlines()
        rows[name] = [[typed(cell) for cell in row] for row in csv.reader(text)]
    for title, lines in rows.items():
        sheet = book.create_sheet(title)
        for line in lines:
            sheet.append(line)
    change(book)
    path = tmp_path / "parts.xlsx"
    book.save(path)
    return path


def test_a_small_one_is_read(tmp_path: Path) -> None:
    found = read_catalogue(small(tmp_path))
    assert [part.number for part in found.pistons] == ["P-0", "P-25"]
    assert found.standard_bore == 6_200_000


def _formula(book: Any) -> None:
    book["pistons"]["B2"] = "=1+1"


def _merged(book: Any) -> None:
    book["pistons"].merge_cells("A2:A3")


def _hidden_row(book: Any) -> None:
    book["pistons"].row_dimensions[3].hidden = True


def _hidden_sheet(book: Any) -> None:
    book["rings"].sheet_state = "hidden"


def _no_head(book: Any) -> None:
    book.remove(book["catalogue"])


def _other_columns(book: Any) -> None:
    book["catalogue"]["B1"] = "figure"


def _unknown_key(book: Any) -> None:
    book["catalogue"]["A2"] = "nam"


def _twice(book: Any) -> None:
    book["catalogue"].append(["name", "again"])


def _near(book: Any) -> None:
    book["pistons"].title = "piston"


def _wrong_cell(book: Any) -> None:
    book["pistons"]["B3"] = "wide"


def _family_twice(book: Any) -> None:
    sheet = book.create_sheet("families")
    for row in (("family", "key", "value"), ("pump", "zone.top", 6), ("pump", "zone.top", 7)):
        sheet.append(row)


@pytest.mark.parametrize(
    ("change", "message", "place"),
    [
        (_formula, "a formula", "sheet 'pistons'"),
        (_merged, "merged cells", "sheet 'pistons'"),
        (_hidden_row, "a hidden row", "sheet 'pistons'"),
        (_hidden_sheet, "a hidden sheet", "sheet 'rings'"),
        (_no_head, "has no sheet 'catalogue'", "parts.xlsx"),
        (_other_columns, "other columns", "sheet 'catalogue'"),
        (_unknown_key, "did you mean 'name'", "sheet 'catalogue'"),
        (_twice, "there twice", "sheet 'catalogue'"),
        (_near, "under another name", "sheet 'piston'"),
        (_wrong_cell, "wide", "sheet 'pistons'"),
        (_family_twice, "there twice", "sheet 'families'"),
    ],
)
def test_what_cannot_be_is_one_message(
    tmp_path: Path, change: Callable[[Any], None], message: str, place: str
) -> None:
    with pytest.raises(InputError, match=message) as refused:
        read_catalogue(small(tmp_path, change))
    assert place in str(refused.value.file)


def test_a_file_that_is_no_workbook(tmp_path: Path) -> None:
    path = tmp_path / "parts.xlsx"
    path.write_bytes(b"no workbook")
    with pytest.raises(InputError, match="not a workbook"):
        read_catalogue(path)
    with pytest.raises(InputError, match="no such file"):
        read_catalogue(tmp_path / "none.xlsx")


def test_written_out_as_files_it_is_the_same_catalogue(tmp_path: Path) -> None:
    book = pump_book(tmp_path / "pump.xlsx")
    files = files_of_book("pump.xlsx", book.read_bytes())
    folder = MemoryFolder("pump", files)
    assert read_catalogue(folder) == read_catalogue(book)
    (sheet,) = family_sheets(folder).values()
    (own,) = family_sheets(book).values()
    assert sheet.data == own.data
