"""Export and import: exact, whichever way round; nonsense and contradictions leave no trace."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path
from typing import Any

import pytest

from fitsolver import book
from fitsolver.base.errors import InputError
from fitsolver.book.book import Book
from fitsolver.book.entries import key_of
from fitsolver.records.book import FittedParts

from .made import BORE, DAY, cylinder, job, planned, strokes

LATER = DAY + dt.timedelta(days=400)


def filled(shop: Book) -> Book:
    """A book with an entry of nearly every kind, one of them withdrawn and given back."""
    shop.add_job(*planned(), date=DAY)
    shop.add_passes(planned()[0], [strokes(10), strokes(5, BORE + 200)], date=DAY)
    fitted = shop.add_fitted("pump 7, left", FittedParts(piston="P", note="µ"), date=DAY).entry
    shop.withdraw(shop.withdraw(fitted.key, "wrong", date=DAY).entry.key, "right", date=DAY)
    shop.add_job(job(cylinder("A"), cylinder("B", BORE + 7), family="pump"), date=LATER)
    return shop


def test_a_round_trip_is_exact(shop: Book, tmp_path: Path) -> None:
    text = filled(shop).export()
    with book.open(str(tmp_path / "other.sqlite")) as other:
        done = other.import_(text.splitlines(keepends=True))
        assert (done.added, done.known) == (7, 0)
        assert other.export() == text
        assert other.history("pump 7, left") == shop.history("pump 7, left")
        assert other.search("pump") == shop.search("pump")
        again = other.import_(text.splitlines())
        assert (again.added, again.known) == (0, 7)


def test_two_books_become_the_same_one_from_either_side(tmp_path: Path, shop: Book) -> None:
    with book.open(str(tmp_path / "other.sqlite")) as other:
        filled(shop)
        other.add_job(*planned(), date=DAY)
        other.add_job(job(cylinder("C", BORE + 1)), date=LATER)
        mine, theirs = shop.export().splitlines(), other.export().splitlines()
        shop.import_(theirs)
        other.import_(mine)
        assert shop.export() == other.export()
        assert len(shop.export().splitlines()) == 1 + 8


def test_the_order_of_the_lines_is_no_matter(tmp_path: Path, shop: Book) -> None:
    head, *lines = filled(shop).export().splitlines()
    with book.open(str(tmp_path / "other.sqlite")) as other:
        other.import_([head, *reversed(lines)])
        assert other.export() == shop.export()


def changed(line: str, *, key: bool = True, **fields: Any) -> str:
    """A line with other fields, under the key of its new content unless the old is to stay."""
    content = json.loads(line) | fields
    if key:
        content["key"] = key_of(content)
    return json.dumps(content)


def test_nonsense_is_refused_with_its_line_and_changes_nothing(shop: Book) -> None:
    before = filled(shop).export()
    head, first, *_ = before.splitlines()
    lines = [
        "",
        "PK\x03\x04",
        "[]",
        "{}",
        '{"fitsolver_book": true}',
        '{"fitsolver_book": 2}',
        f"{head}\nnonsense",
        f"{head}\n[1, 2]",
        f"{head}\n" + "[" * 100_000,
        f"{head}\n{first[:-30]}",
        f"{head}\n" + changed(first, key=False, title="another"),
        f"{head}\n" + changed(first, kind="party"),
        f"{head}\n" + changed(first, date="1.2.2020"),
        f"{head}\n" + changed(first, documents={}),
        f"{head}\n" + changed(first, documents={"job": {}, "extra": {}}),
        f"{head}\n" + changed(first, lines=[]),
        f"{head}\n" + changed(first, number=1),
        f"{head}\n" + changed(first, withdraws="0" * 32),
        f"{head}\n" + changed(first, surprise=1),
        f"{head}\n" + changed(first, lines=[{"marking": "a\nb"}]),
        f"{head}\n" + changed(first, lines=[{"marking": "A", "largest": 2**70}]),
        f"{head}\n" + changed(first, lines=[{"marking": "A", "uncertainty": -1}]),
        f"{head}\n" + changed(first, lines=[{"marking": "A"}, {"marking": "A"}]),
        f"{head}\n" + first.replace('"number":null', '"number":NaN'),
    ]
    for text in lines:
        with pytest.raises(InputError) as refused:
            shop.import_(text.splitlines(), file="export.jsonl")
        assert refused.value.file == "export.jsonl"
        assert refused.value.row == (2 if text.startswith(head) else 1), text[:200]
    assert shop.export() == before


def test_what_an_entry_belongs_to_must_come_with_it(shop: Book, tmp_path: Path) -> None:
    head, *lines = filled(shop).export().splitlines()
    alone = [line for line in lines if json.loads(line)["kind"] != "job"]
    with book.open(str(tmp_path / "other.sqlite")) as other:
        with pytest.raises(InputError, match="has not the entry"):
            other.import_([head, *alone])
        assert other.export() == head + "\n"


def test_contradictions_are_refused_whole(shop: Book, tmp_path: Path) -> None:
    with book.open(str(tmp_path / "other.sqlite")) as other:
        other.add_job(*planned(), date=DAY)
        other.add_job(job(cylinder("new")), date=DAY)  # would be welcome, did it come alone
        other.add_passes(planned()[0], [strokes(11)], date=DAY)
        before = filled(shop).export()
        with pytest.raises(InputError, match="another pass 1"):
            shop.import_(other.export().splitlines())
        assert shop.export() == before


def test_the_same_job_on_another_day_is_a_contradiction(shop: Book, tmp_path: Path) -> None:
    with book.open(str(tmp_path / "other.sqlite")) as other:
        other.add_job(*planned(), date=LATER)
        before = filled(shop).export()
        with pytest.raises(InputError, match="holds this job already"):
            shop.import_(other.export().splitlines())
        assert shop.export() == before


def test_a_correction_comes_over_with_what_it_corrects(shop: Book, tmp_path: Path) -> None:
    shop.add_job(*planned(), date=DAY)
    wrong = shop.add_passes(planned()[0], [strokes(99)], date=DAY)[0].entry
    shop.withdraw(wrong.key, "a slip", date=DAY)
    shop.add_passes(planned()[0], [strokes(9)], date=DAY)
    with book.open(str(tmp_path / "other.sqlite")) as other:
        other.import_(shop.export().splitlines())
        assert other.history("pump 7, left").visits[0].passes == 1
