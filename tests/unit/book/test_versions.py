"""Books of every version open, and one of a newer version is left alone."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from sqlalchemy import Connection

from fitsolver import book
from fitsolver.base.errors import InputError
from fitsolver.book import versions
from fitsolver.book.place import connect, find

from .made import DAY, planned

#: A book of each version, and what it said when it was written.
BOOKS = Path(__file__).parent / "books"


def test_one_book_of_each_version_is_kept() -> None:
    kept = {path.stem for path in BOOKS.glob("*.sqlite")}
    assert kept == {f"version{number}" for number in range(1, versions.VERSION + 1)}


@pytest.mark.parametrize("path", sorted(BOOKS.glob("*.sqlite")), ids=lambda path: str(path.stem))
def test_old_books_open_and_say_what_they_said(path: Path, tmp_path: Path) -> None:
    place = shutil.copy(path, tmp_path / "book.sqlite")
    with book.open(str(place)) as shop:
        exported = path.with_suffix(".jsonl").read_text(encoding="utf-8")
        assert shop.export() == exported
        assert [visit.passes for visit in shop.history("liner 12").visits] == [2, 0]
        assert len(shop.search("liner").lines) == 5
        shop.add_job(*planned(), date=DAY)
    with book.open(str(tmp_path / "new.sqlite")) as shop:  # an old export comes in as well
        assert shop.import_(exported.splitlines()).known == 0


def set_version(place: str, number: int) -> None:
    with connect(find(place), create=False).writing() as connection:
        connection.execute(versions.BOOK.update().values(version=number))


def test_a_newer_book_is_left_alone(place: str) -> None:
    with book.open(place) as shop:
        shop.add_job(*planned(), date=DAY)
    newer = versions.VERSION + 1
    set_version(place, newer)
    for create in (True, False):
        with pytest.raises(InputError, match=f"newer program.*found: {newer}; allowed: up to"):
            book.open(place, create=create)
    set_version(place, versions.VERSION)
    with book.open(place) as shop:
        assert len(shop.search().lines) == 1


def test_an_old_book_is_brought_up_step_by_step(
    place: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    taken: list[int] = []

    def step(number: int) -> versions.Step:
        def bring(connection: Connection) -> None:
            connection.exec_driver_sql(f"ALTER TABLE fitsolver_line ADD COLUMN new{number} TEXT")
            taken.append(number)

        return bring

    with book.open(place) as shop:
        shop.add_job(*planned(), date=DAY)
        before = shop.export()
    newest = versions.VERSION + 2
    monkeypatch.setattr(versions, "STEPS", {n: step(n) for n in range(2, newest + 1)})
    monkeypatch.setattr(versions, "VERSION", newest)
    for _ in range(2):
        with book.open(place) as shop:
            assert shop.export() == before
        assert taken == list(range(2, newest + 1))  # once


def test_a_step_that_fails_leaves_the_old_book(place: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def bring(connection: Connection) -> None:
        connection.exec_driver_sql("ALTER TABLE fitsolver_line ADD COLUMN half TEXT")
        raise RuntimeError("cut off")

    book.open(place).close()
    with monkeypatch.context() as later:
        later.setattr(versions, "STEPS", {2: bring})
        later.setattr(versions, "VERSION", 2)
        with pytest.raises(RuntimeError):
            book.open(place)
    with book.open(place) as shop:
        shop.add_job(*planned(), date=DAY)
    with connect(find(place), create=False).reading() as connection:
        columns = versions.inspect(connection).get_columns("fitsolver_line")
        assert "half" not in {column["name"] for column in columns}
