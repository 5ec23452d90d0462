"""Answers by the keys of their questions, as a page keeps them."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitsolver.base.errors import InputError
from fitsolver.page.list_answers import check_answers, questions, with_answers
from fitsolver.reading.list_mapping import ListMapping
from fitsolver.records.intake import Asked
from fitsolver.usecases.intake import intake
from fitsolver.usecases.intake_told import told_of, with_told

LIST = """Part no;Description;Engine;Bin;Price;Stock
K-1;Piston kit forged 54.00 STD;P54;A1;50.00;2
K-2;Piston kit forged 54.00 +0.25;P54;B7;52.50;0
"""


def test_every_question_can_be_answered_on_the_page(tmp_path: Path) -> None:
    """Until nothing is asked any more: columns, words, figures, each with what is proposed."""
    file = tmp_path / "list.csv"
    file.write_text(LIST.replace("Bin", "Mark"))
    given: tuple[tuple[str, str], ...] = ()
    replies = {"skip Mark": "-", "words": "forged", "currency": "EUR", "lead_days": "6"}
    for _ in range(6):
        answer = intake(file, tmp_path / "shelf", told=told_of(given, "mm"))
        asked = {question.key: question for question in questions(answer, given)}
        if not asked:
            break
        fields = {f"a:{key}": replies[key] for key in asked if key in replies}
        if "clearance" in asked:
            fields |= {"low:clearance": "0.045", "high:clearance": "0.055"}
        given = with_answers(given, fields)
        check_answers(given, "mm")
    assert not answer.asked and len(answer.articles) == 2
    assert intake(file, tmp_path / "shelf", told=told_of(given, "mm"), agreed=True).taken_in


@pytest.mark.parametrize(
    ("key", "answer", "field", "value"),
    [
        ("column price", "Net", "columns", {"price": "Net"}),
        ("column stock", "-", "columns", {"stock": ""}),
        ("skip Bin", "grade", "columns", {"grade": "Bin"}),
        ("skip Bin", "remark", "remarks", ("Bin",)),
        ("words", "forged, cast", "skip", ("forged", "cast")),
        ("kind nominal", "standard", "standard_words", frozenset({"nominal"})),
        ("kind", "piston kit", "kind", "piston kit"),
        ("units", "um", "units", "um"),
        ("lead_days", "-", "stock_only", True),
        ("price_for", "100", "price_for", 100),
        ("smallest_is_standard", "no", "smallest_is_standard", False),
        ("sizes_across", "price", "sizes_across", "price"),
        ("clearance", "0.045 0.055", "clearance", {"": (4_500, 5_500)}),
    ],
)
def test_an_answer(key: str, answer: str, field: str, value: object) -> None:
    assert getattr(with_told(ListMapping(), told_of([(key, answer)], "mm")), field) == value


@pytest.mark.parametrize(
    ("key", "answer"),
    [("skip Bin", "colour"), ("kind x", "wheel"), ("units", "ell"), ("price_for", "0"),
     ("oversize_unit", "ell"), ("lead_days", "soon"), ("clearance", "0.06 0.05")],
)  # fmt: skip
def test_no_answer(key: str, answer: str) -> None:
    with pytest.raises(InputError):
        told_of([(key, answer)], "mm")


def test_a_question_of_engine_types_has_no_word_of_the_command_line(tmp_path: Path) -> None:
    asked = Asked(
        key="family_by",
        question="These stand as headings between the rows, and are read as engine types: A 1. Are "
        "they? A heading that is none: --skip",
        option="--family-by headings",
        line='family_by = "headings"',
        proposed="headings",
    )
    file = tmp_path / "list.csv"
    file.write_text(LIST)
    answer = intake(file, tmp_path / "shelf", told=told_of((), "mm"))
    [one] = questions(answer.model_copy(update={"asked": (asked,)}), ())
    assert one.words.endswith(": A 1. Are they?")
    assert one.choices == (("headings", "yes, engine types"),)
