"""All that is wrong in the tables of a folder is refused in one message."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading import catalogue_tables
from fitsolver.reading.catalogue_folder import families_of, read_catalogue, read_families
from fitsolver.reading.refusals import MOST_TOLD, RefusalsError

from .files import catalogue_files
from .test_families import folder

PISTONS = "number,oversize,skirt_low,skirt_high,price,stock\n"
RINGS = "number,grooves,gauge_diameter,gap_low,gap_high,width_low,width_high,stock\n"


def refused(place: Path) -> RefusalsError:
    with pytest.raises(RefusalsError) as caught:
        read_catalogue(place)
    return caught.value


def places(error: RefusalsError) -> list[tuple[str, object, str]]:
    return [(Path(one.file).name, one.row, one.field) for one in error.each]


def test_wrong_columns_of_all_tables(tmp_path: Path) -> None:
    """Each with its file, row, field, what was found and what is allowed."""
    place = catalogue_files(
        tmp_path,
        pistons="nummer,oversize,colour,skirt_low [inches]\nP,0,red,61\n",
        rings="number,groove,gap_low,gap_low\nR,1,0.2,0.3\n",
    )
    error = refused(place)
    assert places(error) == [
        ("pistons.csv", 1, "nummer"),
        ("pistons.csv", 1, "colour"),
        ("pistons.csv", 1, "skirt_low"),
        ("pistons.csv", 1, "number"),
        ("rings.csv", 1, "groove"),
        ("rings.csv", 1, "gap_low"),
        ("rings.csv", 1, "grooves"),
        ("rings.csv", 1, "gauge_diameter"),
        ("rings.csv", 1, "gap_high"),
        ("rings.csv", 1, "width_low"),
        ("rings.csv", 1, "width_high"),
    ]
    lines = str(error).splitlines()
    assert lines[0].endswith("11 things are wrong:")
    assert len(lines) == 12
    assert "found: inches; allowed: mm, um (\u00b5m), in, thou" in lines[3]


def test_wrong_cells_of_all_tables(tmp_path: Path) -> None:
    """Several in one row, and in the tables that hang on others."""
    place = catalogue_files(
        tmp_path,
        pistons=f"{PISTONS}P-0,zero,61,-1,12.345,two\nP-25,0.25,,62,20.00,1\n",
        rings=f"{RINGS}R-0,11,62,0.3,0.2,1.4,wide,1\n",
        kits="number,contents,price,stock\nK,P-0 x1; R-0 x1,dear,1\n",
    )
    found = places(refused(place))
    assert set(found) == {
        *(("pistons.csv", 2, name) for name in ("oversize", "skirt_high", "price", "stock")),
        ("pistons.csv", 3, "skirt_low"),
        ("rings.csv", 2, "grooves"),
        ("rings.csv", 2, "width_high"),
        ("kits.csv", 2, "price"),
    }
    assert len(found) == len(set(found))


def test_the_message_is_as_long_as_a_screen(tmp_path: Path) -> None:
    rows = "".join(f"P-{n},x,61,62,1.00,1\n" for n in range(1_500))
    error = refused(catalogue_files(tmp_path, pistons=PISTONS + rows, kits=None))
    lines = str(error).splitlines()
    assert len(lines) == MOST_TOLD + 2
    assert lines[0].endswith("1500 things are wrong:")
    assert lines[-1] == f"  and {1_500 - MOST_TOLD} more"


def test_one_wrong_cell_is_refused_as_it_is(tmp_path: Path) -> None:
    place = catalogue_files(tmp_path, pistons=f"{PISTONS}P-0,zero,61,62,1.00,1\n", kits=None)
    with pytest.raises(InputError) as caught:
        read_catalogue(place)
    assert (caught.value.row, caught.value.field) == (2, "oversize")


def test_families_are_read_as_one_by_one_and_each_table_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = folder(tmp_path)
    known = families_of(place)
    wanted = [(name, read_catalogue(place, name)) for name in known]
    tables: list[str] = []
    read = catalogue_tables.read_table

    def counted(path: Path, *rest: object) -> object:
        tables.append(path.name)
        return read(path, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(catalogue_tables, "read_table", counted)
    assert list(read_families(place, known)) == wanted
    assert sorted(tables) == sorted(set(tables))
