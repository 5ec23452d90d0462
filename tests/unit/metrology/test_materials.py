from fractions import Fraction

import pytest

from fitsolver.base.errors import InputError
from fitsolver.metrology.materials import (
    BORE_MATERIALS,
    MATERIALS,
    bore_material,
    expansion,
    find_material,
    is_known,
)

#: Published coefficients in 1e-6/K: Materials Science and Engineering: An Introduction, table
#: B.6 (the first five); a handbook's table of aluminium alloys, from memory (the rest).
PUBLISHED = {
    "grey_iron": "11.4",
    "ductile_iron": "11.2",
    "steel_1020": "11.7",
    "al_6061": "23.6",
    "al_356": "21.5",
    "al_4032": "19.4",
    "al_a132": "19.0",
    "al_2618": "22.3",
    "al_390": "18.0",
}


def test_every_coefficient_is_the_published_one() -> None:
    assert {name: expansion(name) for name in MATERIALS} == {
        name: Fraction(value) * 1000 for name, value in PUBLISHED.items()
    }


def test_figures_from_memory_say_so() -> None:
    remembered = {name for name, found in MATERIALS.items() if "from memory" in found.source}
    assert remembered == {"al_4032", "al_a132", "al_2618", "al_390"}
    assert all(material.source for material in MATERIALS.values())


@pytest.mark.parametrize("name", ["grey_iron", "Grey iron", " GREY-IRON "])
def test_names_are_read_kindly(name: str) -> None:
    assert find_material(name) is MATERIALS["grey_iron"]
    assert is_known(name)


@pytest.mark.parametrize("name", ["unobtainium", "", "iron"])
def test_unknown_alloys_are_refused_with_the_known_ones(name: str) -> None:
    assert not is_known(name)
    with pytest.raises(InputError) as caught:
        expansion(name, file="job.toml", field="engine.rise.bore_alloy")
    text = str(caught.value)
    assert text.startswith("job.toml, field 'engine.rise.bore_alloy'")
    assert f"found: {name or 'nothing'}" in text
    assert "grey_iron" in text and "al_390" in text


@pytest.mark.parametrize(
    ("name", "alloy"),
    [
        ("iron", "grey_iron"),
        ("Cast iron", "grey_iron"),
        ("steel", "steel_1020"),
        ("aluminium", "al_356"),
        ("plated", "al_356"),
        ("ductile-iron", "ductile_iron"),
        ("al_390", "al_390"),
    ],
)
def test_a_bore_goes_by_the_trade_s_word_or_by_its_alloy(name: str, alloy: str) -> None:
    found = bore_material(name)
    assert found.expansion == MATERIALS[alloy].expansion
    assert found.source.startswith(MATERIALS[alloy].source)


def test_a_trade_s_word_says_why_it_means_that_alloy() -> None:
    assert all(alloy in MATERIALS and basis for alloy, basis in BORE_MATERIALS.values())
    assert "thin layer" in bore_material("plated").source


def test_a_bore_of_unknown_material_is_refused_with_both_lists() -> None:
    with pytest.raises(InputError) as caught:
        bore_material("cheese", file="job.toml")
    text = str(caught.value)
    assert text.startswith("job.toml, field 'material': no expansion is known for a bore")
    assert "plated" in text and "al_2618" in text
