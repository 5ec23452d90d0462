"""Price and stock lists: figures, headings and descriptions, by hand and drawn (all invented)."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading import list_figures as figures
from fitsolver.reading.list_headings import heading_likeness
from fitsolver.reading.list_kind_words import place_of
from fitsolver.reading.list_kinds import kind_of
from fitsolver.reading.list_layout import layout_of
from fitsolver.reading.list_mapping import ListMapping, mapping_text, read_mapping
from fitsolver.reading.list_patterns import oversize_of, read_description, with_family, words_of
from fitsolver.reading.list_sheets import ListSheet, read_sheets
from fitsolver.reading.list_wording import proposed
from fitsolver.reading.list_words import plain
from tests.bench import supplied, suppliers, suppliers_second, suppliers_third
from tests.bench.exports import FIRST, FOURTH, SECOND, THIRD, Export
from tests.bench.exports import run as sold
from tests.bench.lists import APART, LAYOUTS, run
from tests.bench.suppliers import Supplier


@pytest.mark.parametrize(
    ("cells", "mark"),
    [
        (["1.234,50", "12"], ","),
        (["1,234.50"], "."),
        (["12,5"], ","),
        (["1.234.567"], ","),
        (["1,234"], None),  # thousands, or three decimals
        (["12", "13"], None),
        (["12,50", "12.50"], None),
    ],
)
def test_decimal_mark(cells: list[str], mark: str | None) -> None:
    assert figures.decimal_mark(cells) == mark


@pytest.mark.parametrize(
    ("text", "mark", "cents"),
    [
        ("€ 1.234,50", ",", 123_450),
        ("1 234,50 EUR", ",", 123_450),
        ("1'234.50", ".", 123_450),
        ("$1,234.50", ".", 123_450),
        ("54,-", ",", 5_400),
        ("54", ".", 5_400),
        ("12.34.5", ".", None),
        ("1,23,456.00", ".", None),
        ("abc", ".", None),
        ("-4.00", ".", None),
        ("4.005", ".", None),  # finer than a hundredth
    ],
)
def test_money(text: str, mark: figures.Mark, cents: int | None) -> None:
    assert figures.money(text, mark) == cents


@pytest.mark.parametrize(
    ("text", "pieces"),
    [
        ("", 0),
        ("-", 0),
        ("3", 3),
        ("3,0", 3),
        (">10", 10),
        ("10+", 10),
        ("4 Stk.", 4),
        ("ask", None),
    ],
)
def test_count(text: str, pieces: int | None) -> None:
    assert figures.count(text) == pieces


@pytest.mark.parametrize(
    ("text", "days"), [("6", 6), ("2-3 days", 3), ("2 weeks", 14), ("3 Tage", 3), ("soon", None)]
)
def test_days(text: str, days: int | None) -> None:
    assert figures.days(text) == days


@pytest.mark.parametrize(
    ("text", "ticks"),
    [
        ("STD", 0),
        ("+0.25", 25_000),
        ("0,50", 50_000),
        (".020", 50_800),  # thousandths of an inch: exactly 0.508 mm
        ('.010"', 25_400),
        ("+1.00 mm", 100_000),
        ("two", None),
    ],
)
def test_oversize(text: str, ticks: int | None) -> None:
    assert oversize_of(text, "mm", ".") == ticks


def test_a_description_is_read_by_its_pattern() -> None:
    text = "PISTON KIT 54.00 +0.25 (A)"
    wording = proposed([text, "Piston  kit 54.00 STD (B)"], "mm", ".")
    (pattern,) = wording.patterns
    assert pattern == "{kind} {bore} {oversize} ({grade})"
    assert wording.kinds == {"piston kit": "piston kit"}
    said = read_description(text, [pattern])
    assert said is not None
    assert (said.bore, said.oversize, said.grade) == ("54.00", "+0.25", "A")
    assert read_description("PISTON KIT 54.00 +0.25 (A) and 1.5", [pattern]) is None


def test_two_bores_are_no_pattern() -> None:
    """Which of them counts is for a person to tell."""
    assert proposed(["PISTON KIT 54.00 56.00"], "mm", ".").patterns == ()


def test_no_figure_is_passed_over_as_a_word() -> None:
    assert read_description("PISTON KIT P 54.00 0.25", ["{kind} {words} {oversize}"]) is None


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        ("PISTON KIT", "piston kit"),
        ("Kolben kompl. m. Ringen", "piston kit"),
        ("Piston complete with rings, pin and clips", "piston kit"),
        ("Piston + rings", "piston kit"),
        ("Piston, rings, pin, clips", "piston kit"),
        ("Rings and piston", None),
        ("Pistón suelto", "piston"),
        ("Piston without rings", "piston"),
        ("Piston rings", "rings"),
        ("Ringe f. Kolben", "rings"),
        ("Jeu de segments", "rings"),
        ("Piston pin", "pin"),
        ("Circlip", "circlip"),
        ("KIT w/rings", None),  # of what?
        ("Piston ring compressor", None),  # a tool
        ("Brake pad", None),
    ],
)
def test_what_an_article_is(words: str, kind: str | None) -> None:
    assert kind_of(words) == kind


@pytest.mark.parametrize(
    ("line", "kind"),
    [
        ("Piston 54.00 STD", "piston"),
        ("PSTN KIT w/rings 54.00 STD", None),
        ("Kolben m. Ri. 54,00 STD", None),  # it may come with something: asked
        ("Kolbkomplett 54,00 STD", None),
        ("Kolvringar 54,00 STD", "rings"),  # told
    ],
)
def test_what_is_not_sure_is_asked(line: str, kind: str | None) -> None:
    assert words_of(line, (("kolvringar", "rings"),)).kind == kind


def test_places_of_gaskets() -> None:
    assert place_of("HEAD GASKET 0.80") == "head"
    assert place_of("Zylinderfussdichtung 0,5") == "base"
    assert place_of("Head and base gasket") == ""


def test_a_grade_is_never_passed_over() -> None:
    patterns = proposed(["Piston kit 54.00 STD Sort. 1"], "mm", ".").patterns
    said = read_description("Piston kit 54.00 STD Sort. 1", patterns)
    assert said is not None
    assert said.grade == "1"
    (pattern,) = proposed(["PISTON KIT 54.00MM STD GR.A"], "mm", ".").patterns
    assert pattern == "{kind} {bore} {oversize} gr.{grade}"
    assert read_description("PISTON KIT 54.00 STD A", ["{kind} {bore} {oversize} {words}"]) is None


def test_the_engine_type_stands_in_the_description() -> None:
    line = with_family("KITE 80-4 PISTON KIT 90.80MM STD", "Kite 80-4")
    (pattern,) = proposed([line], "mm", ".").patterns
    assert pattern == "{family} {kind} {bore} {oversize}"
    texts = ["Marl S - kit piston 50,30 STD", "Holt 80-4 - kit piston 61,00 +0,25"]
    patterns = proposed(texts, "mm", ",", families=True).patterns
    found = [read_description(text, patterns) for text in texts]
    assert [said and (said.family, said.bore) for said in found] == [
        ("Marl S", "50,30"),
        ("Holt 80-4", "61,00"),
    ]


@pytest.mark.parametrize("pattern", ["{kind} {size}", "{bore} {bore}", "{}"])
def test_a_pattern_that_cannot_be_read(pattern: str) -> None:
    with pytest.raises(InputError, match="this pattern cannot be read"):
        read_description("text", [pattern])


def test_headings() -> None:
    assert heading_likeness("Référence", "number") == 1
    assert heading_likeness("Preis [EUR]", "price") == 1
    assert 0 < heading_likeness("List price per piece", "price") < 1
    assert heading_likeness("colour", "price") == 0
    assert plain("Übergröße") == "ubergrosse"


def test_columns_are_known_by_their_contents() -> None:
    rows = [
        (1, ("alpha", "beta", "gamma", "delta")),
        *(
            (2 + n, (f"K-{n:03d}", f"Piston kit 54.00 +0.{n}5", f"{n + 50}.90", str(n)))
            for n in range(8)
        ),
    ]
    layout = layout_of(ListSheet("", tuple(rows)))
    assert layout is not None
    assert dict(layout.places) == {"number": 0, "description": 1, "price": 2, "stock": 3}
    assert layout.heading_row == 1
    assert all(sure <= 0.6 for sure in layout.sure.values())


def test_mapping_file(tmp_path: Path) -> None:
    mapping = ListMapping(
        units="mm", decimal=",", currency="EUR", lead_days=6, kind="piston kit", family="P54",
        columns={"number": "Art.-Nr.", "price": "VK"}, patterns=("{kind} {bore}",),
        clearance={"": (4_500, 5_500), "P54": (-500, 127)}, standard_bore={"P54": 5_400_000},
        headings=("Art.-Nr.", "VK"),
    )  # fmt: skip
    (tmp_path / "intake.toml").write_text(mapping_text(mapping), encoding="utf-8")
    assert read_mapping(tmp_path / "intake.toml") == mapping


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('units = "m"', "unknown word"),
        ("colums = {}", "did you mean 'columns'"),
        ('patterns = ["{kind"', "line"),
        ('patterns = "x"', "these are no patterns"),
        ('clearance = { P54 = ["0.05"] }', "no two lengths"),
        ('clearance = { P54 = ["0.06", "0.05"] }', "lowest is above the highest"),
        ('standard_bore = { P54 = "wide" }', "not a number"),
    ],
)
def test_a_wrong_mapping_file(tmp_path: Path, text: str, message: str) -> None:
    file = tmp_path / "intake.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=message) as refused:
        read_mapping(file)
    assert "intake.toml" in str(refused.value)


@pytest.mark.parametrize(
    ("name", "content", "message"),
    [
        ("list.pdf", b"%PDF", "no such list"),
        ("list.csv", b"   \n", "the file is empty"),
        ("list.csv", b"a\0b", "not a text file"),
        ("list.xlsx", b"no zip", "not a workbook"),
        ("list.parquet", b"no parquet", "list.parquet"),
    ],
)
def test_a_file_that_is_no_list(tmp_path: Path, name: str, content: bytes, message: str) -> None:
    (tmp_path / name).write_bytes(content)
    with pytest.raises(InputError, match=message):
        read_sheets(tmp_path / name)


@pytest.mark.parametrize(
    ("layouts", "share"),
    [(suppliers.FIRST, 0.9), (suppliers_second.SECOND, 0.9), (suppliers_third.THIRD, 0.75)],
    ids=["first", "second", "astray"],
)
def test_lists_of_suppliers(layouts: Sequence[Supplier], share: float) -> None:
    """Nothing is wrong or lost, even where a list leads astray; its share can be read at all."""
    total: Counter[str] = sum((told for told, _ in supplied.run(layouts, 2, seed=5)), Counter())
    assert not total["wrong"] and not total["lost"]
    assert total["understood"] >= share * (total["understood"] + total["named"])


@pytest.mark.parametrize("layouts", [FIRST, SECOND, THIRD, FOURTH])
def test_lists_of_sales_programs(layouts: list[Export]) -> None:
    """Lists of another hand, with kits, pistons, rings and gaskets; nothing is wrong or lost."""
    total: Counter[str] = sum((told for told, _ in sold(layouts, 5, seed=2)), Counter())
    assert not total["wrong"] and not total["lost"]
    assert total["understood"] >= 0.8 * (total["understood"] + total["named"])


@pytest.mark.parametrize("layouts", [LAYOUTS, APART], ids=["looked at", "apart"])
def test_drawn_lists(layouts: list) -> None:  # type: ignore[type-arg]
    """Every row is understood or named, none is wrong or lost; 99 % are understood."""
    total: Counter[str] = sum(run(layouts, 24, seed=7), Counter())
    assert not total["wrong"] and not total["lost"]
    assert total["understood"] >= 0.99 * total.total()
