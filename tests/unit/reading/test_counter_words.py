"""Families by a part of their name, and bores as people write them."""

from __future__ import annotations

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.counter_words import (
    bore_typed,
    family_and_sizes,
    family_named,
    near_family,
)

FAMILIES = ("Heron 54", "Heron 58", "Plover 48", "portable pump P62", "Knot 38")
STANDARD = 6_200_000
BOUNDS = near_family([STANDARD, 6_300_000])


@pytest.mark.parametrize(
    ("word", "family"),
    [
        ("Heron 54", "Heron 54"),
        ("heron54", "Heron 54"),
        ("HERON-58", "Heron 58"),
        ("plo", "Plover 48"),
        ("p62", "portable pump P62"),
        ("pump", "portable pump P62"),
        ("Portable", "portable pump P62"),
        ("48", "Plover 48"),
        ("herom54", "Heron 54"),  # a slip, with the same figures
        ("plovre48", "Plover 48"),
    ],
)
def test_a_family_is_known_by_enough_of_its_name(word: str, family: str) -> None:
    assert family_named(word, FAMILIES) == family


@pytest.mark.parametrize("word", ["her", "heron", "p"])
def test_what_may_be_several_is_asked(word: str) -> None:
    with pytest.raises(InputError, match="may be one of 2 families") as refused:
        family_named(word, FAMILIES)
    assert all(f in refused.value.allowed for f in FAMILIES if f.lower().startswith(word))


@pytest.mark.parametrize("word", ["heron56", "gull", "", "--", "knot83"])
def test_another_figure_or_word_names_no_family(word: str) -> None:
    with pytest.raises(InputError, match="unknown family") as refused:
        family_named(word, FAMILIES)
    assert "Heron 54" in refused.value.allowed


@pytest.mark.parametrize(
    ("words", "family", "sizes"),
    [
        (("heron54", "54.1"), "Heron 54", ("54.1",)),
        (("heron", "54", "54.1"), "Heron 54", ("54.1",)),
        (("portable", "pump", "p62", "62.1", "62.2"), "portable pump P62", ("62.1", "62.2")),
        (("p62", "62.31", "mm", "2.4531", "in"), "portable pump P62", ("62.31 mm", "2.4531 in")),
        (("knot", "38"), "Knot 38", ("38",)),
    ],
)
def test_a_name_of_several_words_needs_no_quotes(
    words: tuple[str, ...], family: str, sizes: tuple[str, ...]
) -> None:
    assert family_and_sizes(words, FAMILIES) == (family, sizes)


def test_a_family_without_a_size_is_refused() -> None:
    with pytest.raises(InputError, match="bore is missing"):
        family_and_sizes(("knot",), FAMILIES)


@pytest.mark.parametrize(
    ("typed", "ticks"),
    [
        ("62.31", 6_231_000),
        ("62,31", 6_231_000),
        (" 62.31 mm", 6_231_000),
        ("62,31mm", 6_231_000),
        ("2.4531in", 6_230_874),
        ('2.4531"', 6_230_874),
        ("2.4531 inch", 6_230_874),
        ("2453.1 thou", 6_230_874),
        ("std", STANDARD),
        ("STD", STANDARD),
        ("+0.50", STANDARD + 50_000),
        ("+0,5", STANDARD + 50_000),
        ("+.020in", STANDARD + 50_800),
    ],
)
def test_a_bore_is_read_as_people_write_it(typed: str, ticks: int) -> None:
    assert bore_typed(typed, "mm", STANDARD, BOUNDS) == ticks


@pytest.mark.parametrize("typed", ["abc", "", "62.3.1", "62,31,0", "1,062.31", "nan", "62.31 ell"])
def test_what_is_no_size_is_one_message(typed: str) -> None:
    with pytest.raises(InputError) as refused:
        bore_typed(typed, "mm", STANDARD, BOUNDS)
    assert "61.690 mm to 64.260 mm" in refused.value.allowed


@pytest.mark.parametrize("typed", ["54", "65", "6.231", "623.1", "+5"])
def test_a_size_nowhere_near_the_family_is_refused(typed: str) -> None:
    with pytest.raises(InputError, match="nowhere near"):
        bore_typed(typed, "mm", STANDARD, BOUNDS)


@pytest.mark.parametrize("typed", ["-1", "-0.1", "-0,1", "-.1mm"])
def test_an_undersize_is_typed_as_the_bore_measures(typed: str) -> None:
    with pytest.raises(InputError, match="below standard is typed whole"):
        bore_typed(typed, "mm", STANDARD, BOUNDS)


def test_a_figure_in_the_other_unit_is_asked_not_guessed() -> None:
    with pytest.raises(InputError, match="nowhere near") as refused:
        bore_typed("2.4531", "mm", STANDARD, BOUNDS)
    assert "write 2.4531in" in refused.value.allowed
