"""How reports look on a screen."""

from __future__ import annotations

import pytest

from fitsolver.page.looks import calm, too_broad
from fitsolver.reporting.layout import Block, Kind


@pytest.mark.parametrize(
    ("told", "seen"),
    [
        ("NOTHING FITS: no choice serves.", "Nothing fits: no choice serves."),
        ("PROVEN BEST for what is asked", "Proven best for what is asked"),
        ("ORDER: 98.40 EUR", "Order: 98.40 EUR"),
        ("NEEDS ATTENTION", "Needs attention"),
        ("PP-050A at 62.430", "PP-050A at 62.430"),
        ("Cylinder 1", "Cylinder 1"),
        ("", ""),
    ],
)
def test_a_heading_does_not_shout(told: str, seen: str) -> None:
    assert calm(told) == seen


def test_a_table_folds_where_its_columns_do_not_stand_beside_each_other() -> None:
    columns: tuple[tuple[str, Kind], ...]
    columns = (("number", "word"), ("price", "figure"), ("days", "figure"))
    rows = (("PP-050A", "58.00", "6"), ("PP-050B", "-", "-"))
    assert not too_broad(Block("table", rows, columns))
    prose = tuple((number, price, days * 40) for number, price, days in rows)
    words: tuple[tuple[str, Kind], ...] = (*columns[:2], ("which is then", "text"))
    assert not too_broad(Block("table", prose, words))  # words wrap, figures do not
    assert too_broad(Block("table", tuple(row * 3 for row in rows), columns * 3))


def test_a_table_without_rows_is_measured_by_its_headings() -> None:
    assert too_broad(Block("table", (), (("to remove, at the largest", "figure"),) * 6))
