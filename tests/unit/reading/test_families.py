"""A catalogue folder of several families: each job has the parts of its own, and those of all."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.catalogue_folder import families_of, read_catalogue

HEAD = 'format = 1\nname = "counter"\nunits = "mm"\ncurrency = "EUR"\n'
PISTONS = """number,family,oversize,for_bore,for_clearance_low,for_clearance_high,price,stock
A-0,P54,0,54.00,0.04,0.06,50.00,1
A-25,P54,0.25,54.25,0.04,0.06,50.00,1
B-0,P62; P63,0,62.00,0.05,0.07,60.00,2
C-0,P63,0,62.00,0.05,0.07,61.00,2
"""
GASKETS = "number,family,place,thickness\nG-1,,head,0.80\nG-2,P62,base,0.50\n"


def folder(tmp_path: Path, head: str = HEAD) -> Path:
    (tmp_path / "families").mkdir()
    (tmp_path / "catalogue.toml").write_text(head)
    (tmp_path / "pistons.csv").write_text(PISTONS)
    (tmp_path / "gaskets.csv").write_text(GASKETS)
    for name, bore in (("P54", 54), ("P62", 62), ("P63", 62)):
        text = f'format = 1\nfamily = "{name}"\nunits = "mm"\nstandard_bore = {bore}\n'
        (tmp_path / "families" / f"{name.lower()}.toml").write_text(text)
    return tmp_path


@pytest.mark.parametrize(
    ("family", "pistons", "gaskets"),
    [
        ("P54", ["A-0", "A-25"], ["G-1"]),
        ("P62", ["B-0"], ["G-1", "G-2"]),
        ("P63", ["B-0", "C-0"], ["G-1"]),
    ],
)
def test_a_family_has_its_own_parts_and_those_of_all(
    tmp_path: Path, family: str, pistons: list[str], gaskets: list[str]
) -> None:
    found = read_catalogue(folder(tmp_path), family)
    assert found.family == family
    assert [part.number for part in found.pistons] == pistons
    assert [part.number for part in found.gaskets] == gaskets
    assert found.standard_bore == int(family[1:]) * 100_000 - 100_000 * (family == "P63")


def test_families_have_fingerprints_of_their_own(tmp_path: Path) -> None:
    place = folder(tmp_path)
    assert families_of(place) == ("P54", "P62", "P63")
    assert len({read_catalogue(place, name).fingerprint for name in families_of(place)}) == 3


def test_a_family_must_be_named(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="several families: say which") as refused:
        read_catalogue(folder(tmp_path))
    assert refused.value.allowed == "P54, P62, P63"


def test_an_unknown_family_names_a_near_one(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="did you mean 'P54'"):
        read_catalogue(folder(tmp_path), "P 54")


def test_a_number_stands_once_in_all_families(tmp_path: Path) -> None:
    place = folder(tmp_path)
    (place / "pistons.csv").write_text(PISTONS + "A-0,P62,0,62.00,0.05,0.07,61.00,2\n")
    with pytest.raises(InputError, match="there twice"):
        read_catalogue(place, "P54")


def test_a_family_without_pistons(tmp_path: Path) -> None:
    place = folder(tmp_path)
    (place / "pistons.csv").write_text(PISTONS.replace("P54", "P62"))
    with pytest.raises(InputError, match="no piston is of this family"):
        read_catalogue(place, "P54")


def test_a_row_of_a_family_that_no_sheet_knows_names_a_near_one(tmp_path: Path) -> None:
    place = folder(tmp_path)
    (place / "pistons.csv").write_text(PISTONS.replace("P62; P63", "P62; P 63"))
    with pytest.raises(InputError, match="did you mean 'P63'") as refused:
        read_catalogue(place, "P54")
    assert (refused.value.row, refused.value.field) == (4, "family")
