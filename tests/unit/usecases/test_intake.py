"""A list taken into a catalogue: what is asked, whole or not at all, the next one, a step back."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_folder import families_of, read_catalogue
from fitsolver.usecases.intake import Told, intake, undo_intake

CLEARANCE = {"": (4_500, 5_500)}
ANSWERS = Told(currency="EUR", lead_days=6, clearance=CLEARANCE)
HEADINGS = "Part no;Description;Engine;Price;Stock"
ROWS = (
    "K-1;PISTON KIT 54.00 STD (A);P54;50.00;2",
    "K-2;PISTON KIT 54.00 +0.25 (A);P54;52.50;0",
    "K-3;PISTON KIT 62.00 STD (A);P62;60.00;1",
    "K-4;PISTON KIT 62.00 +0.50 (A);P62;61.00;1",
)


def written(folder: Path, *rows: str, headings: str = HEADINGS) -> Path:
    path = folder / "list.csv"
    path.write_text("\n".join([headings, *rows]) + "\n", encoding="utf-8")
    return path


def state(folder: Path) -> dict[str, str]:
    return {
        str(path.relative_to(folder)): path.read_text(encoding="utf-8")
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_what_the_list_leaves_open_is_asked(tmp_path: Path) -> None:
    found = intake(written(tmp_path, *ROWS), tmp_path / "shelf", agreed=True)
    assert not found.taken_in
    assert [asked.option.split()[0] for asked in found.asked] == [
        "--currency",
        "--lead-days",
        "--clearance",
    ]
    assert not (tmp_path / "shelf").exists()


def test_a_list_is_only_looked_at_until_agreed(tmp_path: Path) -> None:
    found = intake(written(tmp_path, *ROWS), tmp_path / "shelf", told=ANSWERS)
    assert (found.taken_in, found.asked, len(found.articles)) == (False, (), 4)
    assert not (tmp_path / "shelf").exists()


def test_a_catalogue_of_its_families(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf"
    assert intake(written(tmp_path, *ROWS), shelf, told=ANSWERS, agreed=True).taken_in
    assert families_of(shelf) == ("P54", "P62")
    parts = read_catalogue(shelf, "P54")
    assert [piston.number for piston in parts.pistons] == ["K-1", "K-2"]
    first = parts.pistons[0]
    assert (first.nominal_bore, first.price, first.stock) == (5_400_000, 5_000, 2)
    assert (first.skirt.low, first.skirt.high) == (5_400_000 - 5_500, 5_400_000 - 4_500)
    assert (parts.currency, first.lead_days) == ("EUR", 6)


def test_the_next_list_needs_no_answer(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf"
    intake(written(tmp_path, *ROWS), shelf, told=ANSWERS, agreed=True)
    (shelf / "families" / "p54.toml").write_text(
        'format = 1\nfamily = "P54"\nunits = "mm"\nstandard_bore = 54\nnote = "ours"\n'
    )
    rows = [
        ROWS[0].replace("50.00", "51.00"),
        *ROWS[2:],
        "K-9;PISTON KIT 54.00 +1.00 (A);P54;9.00;3",
    ]
    found = intake(written(tmp_path, *rows), shelf)
    assert found.taken_in and found.known_layout
    assert (found.new, found.gone) == (("K-9",), ("K-2",))
    (change,) = found.changed
    assert (change.number, change.field, change.before, change.now) == ("K-1", "price", 5000, 5100)
    assert "ours" in state(shelf)["families/p54.toml"]  # a sheet is the owner's


def test_one_step_back(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf"
    intake(written(tmp_path, *ROWS), shelf, told=ANSWERS, agreed=True)
    before = state(shelf)
    intake(written(tmp_path, ROWS[0]), shelf)
    assert state(shelf) != before
    undo_intake(shelf)
    assert state(shelf) == before
    undo_intake(shelf)  # and forward again
    assert state(shelf) != before


def test_the_first_list_undone(tmp_path: Path) -> None:
    """Where there was no folder there is none again; and forward again."""
    shelf = tmp_path / "shelf"
    intake(written(tmp_path, *ROWS), shelf, told=ANSWERS, agreed=True)
    taken = state(shelf)
    undo_intake(shelf)
    assert not shelf.exists()
    undo_intake(shelf)
    assert state(shelf) == taken
    undo_intake(shelf)
    assert not shelf.exists()


def test_the_first_list_undone_in_an_empty_folder(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf"
    shelf.mkdir()
    intake(written(tmp_path, *ROWS), shelf, told=ANSWERS, agreed=True)
    undo_intake(shelf)
    assert shelf.is_dir() and not list(shelf.iterdir())


def test_nothing_to_go_back_to(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no earlier state"):
        undo_intake(tmp_path / "shelf")


def test_rows_that_are_not_understood_do_not_keep_others_out(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf"
    wrong = (
        "K-5;PISTON KIT 54.00 56.00;P54;50.00;1",
        "K-6;RING SET 54.00;P54;5.00;1",
        "K-7;PISTON KIT 54.00 +0.75 (A);P54;dear;1",
        "K-4;PISTON KIT 62.00 +1.00 (A);P62;50.00;2",
    )
    found = intake(written(tmp_path, *ROWS, *wrong), shelf, told=ANSWERS, agreed=True)
    assert found.taken_in
    assert [article.number for article in found.articles] == ["K-1", "K-2", "K-3", "K-6"]
    reasons = {(item.number, item.field): item.reason for item in found.unclear}
    assert "none of the patterns" in reasons["K-5", "description"]
    assert reasons["K-7", "price"] == "'dear' is no price"
    assert "2 times with other figures, rows 5, 9" in reasons["K-4", "number"]
    assert "'dear' is no price" in state(shelf)["not_understood.csv"]


def test_a_list_of_another_layout(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf"
    intake(written(tmp_path, *ROWS), shelf, told=ANSWERS, agreed=True)
    before = state(shelf)
    other = written(tmp_path, *ROWS, headings=HEADINGS.replace("Price", "Net"))
    with pytest.raises(InputError, match="Price is missing"):
        intake(other, shelf)
    assert state(shelf) == before


def test_a_catalogue_of_ones_own_is_not_touched(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf"
    shelf.mkdir()
    (shelf / "pistons.csv").write_text("number,oversize\n")
    with pytest.raises(InputError, match="not made from a list"):
        intake(written(tmp_path, *ROWS), shelf, told=ANSWERS, agreed=True)
    assert state(shelf) == {"pistons.csv": "number,oversize\n"}


def test_a_failed_write_leaves_the_folder_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shelf = tmp_path / "shelf"
    intake(written(tmp_path, *ROWS), shelf, told=ANSWERS, agreed=True)
    before = state(shelf)

    def full(*_: object, **__: object) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_text", full)
    list_file = tmp_path / "other.csv"
    list_file.write_bytes((HEADINGS + "\n" + ROWS[0] + "\n").encode())
    with pytest.raises(InputError, match="No space left"):
        intake(list_file, shelf)
    monkeypatch.undo()
    assert state(shelf) == before
    assert not [path for path in tmp_path.iterdir() if path.name.endswith(".part")]


def test_a_folder_of_other_things_is_not_touched(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf"
    shelf.mkdir()
    (shelf / "letter.txt").write_text("dear customer")
    with pytest.raises(InputError, match="other things than a catalogue"):
        intake(written(tmp_path, *ROWS), shelf, told=ANSWERS, agreed=True)
    assert state(shelf) == {"letter.txt": "dear customer"}


def test_a_file_is_not_moved_aside(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf"
    shelf.write_text("a file")
    with pytest.raises(InputError, match="this is a file"):
        intake(written(tmp_path, *ROWS), shelf, told=ANSWERS, agreed=True)
    assert shelf.read_text() == "a file"


def test_families_that_are_written_nearly_alike_have_a_sheet_each(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf"
    rows = [
        *ROWS[:2],
        "K-8;PISTON KIT 58.00 STD (A);P-54;50.00;2",
        "K-9;PISTON KIT 61.00 STD;P 54;51.00;2",
    ]
    assert intake(written(tmp_path, *rows), shelf, told=ANSWERS, agreed=True).taken_in
    assert set(families_of(shelf)) == {"P54", "P-54", "P 54"}
    assert read_catalogue(shelf, "P 54").standard_bore == 6_100_000


def test_a_standard_bore_once_known_stays_known(tmp_path: Path) -> None:
    """A family that a list leaves out comes back with one oversize alone."""
    shelf = tmp_path / "shelf"
    intake(written(tmp_path, *ROWS), shelf, told=ANSWERS, agreed=True)
    intake(written(tmp_path, *ROWS[2:]), shelf)
    found = intake(written(tmp_path, ROWS[1], *ROWS[2:]), shelf)
    assert [article.number for article in found.articles] == ["K-2", "K-3", "K-4"]


def test_a_gasket_without_a_place_stands_among_the_others(tmp_path: Path) -> None:
    rows = ("G-1;HEAD GASKET 0.80;P54;3.00;2", "G-2;GASKET 0.50;P54;3.00;2")
    found = intake(written(tmp_path, *ROWS, *rows), tmp_path / "shelf", told=ANSWERS, agreed=True)
    assert [a.place for a in found.articles if a.kind == "gasket"] == ["head", ""]
    assert found.taken_in
    assert "G-1" in (tmp_path / "shelf" / "gaskets.csv").read_text()
    assert "G-2,gasket,P54" in (tmp_path / "shelf" / "others.csv").read_text()


def test_one_step_back_where_the_folder_is_gone(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf"
    intake(written(tmp_path, *ROWS), shelf, told=ANSWERS, agreed=True)
    before = state(shelf)
    intake(written(tmp_path, ROWS[0]), shelf)
    shelf.rename(tmp_path / "elsewhere")
    undo_intake(shelf)
    assert state(shelf) == before


def test_more_than_a_table_may_hold_is_not_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is taken in can be read again."""
    monkeypatch.setattr("fitsolver.reading.list_catalogue.MOST_CELLS", 45)
    with pytest.raises(InputError, match="too many pistons"):
        intake(written(tmp_path, *ROWS), tmp_path / "shelf", told=ANSWERS, agreed=True)
    assert not (tmp_path / "shelf").exists()


def test_a_family_that_no_sheet_knows_is_told(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf"
    intake(written(tmp_path, *ROWS), shelf, told=ANSWERS, agreed=True)
    found = intake(written(tmp_path, *ROWS, "K-8;PISTON KIT 58.00 STD (A);P-54;50.00;2"), shelf)
    (told,) = [caution for caution in found.cautions if "no family sheet" in caution]
    assert "P-54 (nearest: P54" in told


def test_sheets_and_routes_before_the_first_list(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf"
    (shelf / "families").mkdir(parents=True)
    sheet = 'family = "Tug V8"\nunits = "in"\nstandard_bore = 4.000\n'
    (shelf / "families" / "tug_v8.toml").write_text(sheet)
    (shelf / "routes.csv").write_text("")
    headings = "Part no;Description;Engine;Oversize;Price;Stock"
    file = written(tmp_path, "T-1;Piston kit;Tug V8;0.25 mm;42.50;0", headings=headings)
    found = intake(file, shelf, told=ANSWERS)
    assert [(item.nominal_bore, item.oversize) for item in found.articles] == [(10_185_000, 25_000)]


def test_standard_bores_are_asked_where_only_oversizes_stand(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf"
    headings = "Part no;Description;Engine;Oversize;Price;Stock"
    file = written(tmp_path, "T-1;Piston kit;Tug V8;0.25 mm;42.50;0", headings=headings)
    (asked,) = intake(file, shelf, told=ANSWERS, agreed=True).asked
    assert asked.question == "Which bore has oversize 0 in Tug V8?"
    assert asked.option == '--standard-bore "Tug V8: 54.00"'
    told = replace(ANSWERS, standard_bore={"Tug V8": 10_160_000})
    assert intake(file, shelf, told=told, agreed=True).taken_in
    assert intake(file, shelf).taken_in  # kept in intake.toml


def test_a_heading_that_is_not_there(tmp_path: Path) -> None:
    told = replace(ANSWERS, columns={"stock": "Stcok"})
    with pytest.raises(InputError, match=r"no such heading: Stcok \(did you mean 'Stock'\?\)"):
        intake(written(tmp_path, *ROWS), tmp_path / "shelf", told=told)
