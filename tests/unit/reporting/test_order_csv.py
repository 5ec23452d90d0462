"""The order list as CSV opens in a spreadsheet as text and figures, never as a formula."""

from __future__ import annotations

import csv
from io import StringIO

import pytest

from fitsolver.reporting.order_csv import order_csv

from . import answers


def test_lines() -> None:
    assert order_csv(answers.plan()) == (
        "number,what,count,from,price_each,price,days\n"
        "K-050,kit,1,order,72.00,72.00,6\n"
        "P-050,piston,1,in hand,0.00,0.00,0\n"
        "R1-050,ring,3,stock,9.90,29.70,0\n"
    )


@pytest.mark.parametrize("number", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1"])
def test_formulas_are_defused(number: str) -> None:
    text = order_csv(answers.plan(order=(answers.line(number),)))
    rows = list(csv.reader(StringIO(text, newline="")))
    assert rows[1][0] == f"'{number}"


@pytest.mark.parametrize("number", ['A,"B"', "A;B", "A\nB", "R=1", "1-2"])
def test_other_numbers_come_back_as_they_are(number: str) -> None:
    text = order_csv(answers.plan(order=(answers.line(number),)))
    rows = list(csv.reader(StringIO(text, newline="")))
    assert rows[1][0] == number


def test_nothing_to_order() -> None:
    assert len(order_csv(answers.plan(order=())).splitlines()) == 1
