"""Single cells and words of price lists, of many countries and habits (all invented).

Words are from memory of ordinary trade language.
"""

from __future__ import annotations

import pytest

from fitsolver.base.errors import InputError
from fitsolver.reading.list_cells import is_oversize
from fitsolver.reading.list_code_pages import decoded
from fitsolver.reading.list_dittos import without_dittos
from fitsolver.reading.list_figures import money
from fitsolver.reading.list_fractions import without_fractions
from fitsolver.reading.list_kind_words import parts_of, place_of, stem_of, written_out
from fitsolver.reading.list_kinds import kind_of
from fitsolver.reading.list_legend import legend_of, nth_of, size_behind
from fitsolver.reading.list_packs import is_of_prices, pack_of
from fitsolver.reading.list_sheets import ListSheet


def sheet(*rows: tuple[str, ...]) -> ListSheet:
    return ListSheet("", tuple(enumerate(rows, 1)))


@pytest.mark.parametrize(
    ("word", "stem"),
    [
        ("kolbenringsatz", "rings"),
        ("kolbensatz", "kit"),
        ("zylinderkopfdichtung", "gasket"),
        ("zylinderfussdichtungen", "gasket"),
        ("kolbenbolzensicherungsring", "circlip"),  # a ring that holds, none of a piston
        ("stempelringe", "rings"),
        ("kolbenfresser", None),
        ("ringschluessel", None),  # a spanner
    ],
)
def test_compounds(word: str, stem: str | None) -> None:
    assert stem_of(word) == stem


def test_the_last_part_of_a_compound_names_the_article() -> None:
    assert parts_of("zylinderfussdichtung")[-1] == "dichtung"
    assert parts_of("kolben") == ("kolben",)


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        ("Segm. 54,00", "rings"),
        ("Guarn. testa", "gasket"),
        ("Pist. compl.", "piston kit"),
        ("Kol. 54", None),  # a piston, or anything else
    ],
)
def test_words_cut_short(words: str, kind: str | None) -> None:
    assert kind_of(written_out(words)) == kind


@pytest.mark.parametrize(
    ("words", "place"),
    [
        ("Zylinderkopf-Dichtung", "head"),
        ("joint culasse", "head"),
        ("Junta base cilindro", "base"),
        ("Cylinder gasket", ""),
    ],
)
def test_where_a_gasket_goes(words: str, place: str) -> None:
    assert place_of(words) == place


@pytest.mark.parametrize(
    ("cell", "nth"),
    [
        ("1st o/s", 1),
        ("II szlif", 2),
        ("R1", 1),
        ("IV", 4),
        ("3. Übermaß", 3),
        ("54", 0),
        ("VIII", 0),  # no row of sizes is that long
        ("+0,25", 0),
    ],
)
def test_places_in_a_row_of_sizes(cell: str, nth: int) -> None:
    assert nth_of(cell) == nth


@pytest.mark.parametrize(
    ("cell", "size"),
    [
        ("R1 (+0,25)", "+0,25"),
        ("II szlif = +0,50", "+0,50"),
        ("1st o/s: 0.020 in", "0.020 in"),
        ("A (+0,25)", "A (+0,25)"),  # A is no place in a row
    ],
)
def test_a_size_behind_its_place(cell: str, size: str) -> None:
    assert size_behind(cell) == size
    assert is_oversize(size) is (cell != size)


def test_a_note_gives_the_sizes_of_words() -> None:
    rows = sheet(
        ("I szlif = +0,25; II szlif = +0,50",),
        ("R3", "0,75"),
        ("K-1", "Piston kit", "P54", "50,00"),
        ("Valid = 2026",),
    )
    assert legend_of([rows]) == {"i szlif": "+0,25", "ii szlif": "+0,50", "r3": "0,75"}


@pytest.mark.parametrize(
    ("text", "decimal"),
    [
        ('2 7/16"', "2.4375in"),
        ("3-1/2", "3.5in"),
        ("2½", "2.5in"),
        ("3 2/4", "3 2/4"),  # not cut down
        ("7/16", "7/16"),  # below one inch: no bore
        ("12/2026", "12/2026"),
        ("1-2/2026", "1-2/2026"),
    ],
)
def test_fractions(text: str, decimal: str) -> None:
    """The decimals by hand: 7/16 = 0.4375."""
    assert without_fractions(text) == decimal


@pytest.mark.parametrize(
    ("cell", "pieces"),
    [
        ("pair", 2),
        ("%", 100),
        ("per 100", 100),
        ("100 pcs", 100),
        ("dozen", 12),
        ("each", 1),
        ("set", 0),
        ("red", None),
    ],
)
def test_pieces_of_a_unit_of_sale(cell: str, pieces: int | None) -> None:
    assert pack_of(cell) == pieces


def test_what_a_price_is_for_is_told_by_its_heading() -> None:
    assert is_of_prices("Price per")
    assert is_of_prices("price_unit")
    assert not is_of_prices("Cylinders")


@pytest.mark.parametrize(
    ("text", "cents"),
    [("1,828/-", 182_800), ("£81 each", 8_100), ("81.50 ea.", 8_150), ("Rs. 950/-", 95_000)],
)
def test_prices_as_they_are_written(text: str, cents: int) -> None:
    assert money(text, ".") == cents


def test_ditto_marks_say_the_cell_above() -> None:
    rows = sheet(
        ("K-1", "Piston kit", "P54"), ("K-2", "-do-", '"'), ("Note",), ("K-3", "idem", "dto.")
    )
    assert [cells for _, cells in without_dittos(rows).rows] == [
        ("K-1", "Piston kit", "P54"), ("K-2", "Piston kit", "P54"), ("Note",),
        ("K-3", "Piston kit", "P54"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "page"),
    [
        ("Art.-Nr.;Stück;Übermaß;Preis €", "cp1252"),
        ("Číslo;Název;Vrtání;Přebrus;Množství", "cp1250"),
        ("Ürün adı;Çap;Fiyatı;Açıklama", "cp1254"),
        ("Référence;Désignation;Quantité", "cp850"),
        ("Číslo;Název", "utf-16"),
        ("Číslo;Název", "utf-8-sig"),
    ],
)
def test_old_code_pages(text: str, page: str) -> None:
    assert decoded("list.csv", text.encode(page)) == text


def test_no_text() -> None:
    with pytest.raises(InputError, match="not a text file"):
        decoded("list.csv", b"\xff\xfe\x00\xd8")
