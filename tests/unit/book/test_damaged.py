"""Damaged books: no traceback, and no figure that the sound book does not tell.

Five hundred seeded damages: to the bytes of the SQLite file, to single cells of its tables, to the
bytes of an export.
"""

from __future__ import annotations

import datetime as dt
import random
import sqlite3
from pathlib import Path

import pytest

from fitsolver import book
from fitsolver.base.errors import InputError
from fitsolver.book.book import Book
from fitsolver.book.place import connect, find
from tests.unit.cli.run import runner

from .damaging import MARKINGS, change_a_figure, copied, damage, fill, truth
from .made import DAY, cylinder, job, strokes

SHOWN = {"found_smallest", "found_largest", "found_uncertainty"}


def check_history(shop: Book, marking: str) -> None:
    """Hold what is told of a cylinder against the sound book."""
    true = truth().histories[marking]
    told = shop.history(marking)
    if not any("damaged" in caution for caution in told.cautions):
        assert told == true
        return
    sizes = {visit.key: visit.model_dump(include=SHOWN) for visit in true.visits}
    for visit in told.visits:
        if visit.wear is None and not visit.parts_as and visit.left_by == "":
            known = sizes.get(visit.key)
            empty = dict.fromkeys(SHOWN)
            assert visit.model_dump(include=SHOWN) in (known, empty)
        else:  # a damaged entry of another cylinder
            assert visit in true.visits


def check_book(file: Path) -> bool:
    """Read a damaged file in every way; tell whether it was found to be damaged."""
    named = False
    ways = [lambda shop, m=marking: check_history(shop, m) for marking in MARKINGS]
    for way in (*ways, check_search, check_export):
        try:
            with book.open(str(file), create=False) as shop:
                way(shop)
                named |= bool(shop.damaged)
        except InputError as error:
            assert str(error).isprintable()
            named = True
    try:
        with book.open(str(file), create=False) as shop:
            return named or not shop.check().sound
    except InputError:
        return True


def check_search(shop: Book) -> None:
    for found in shop.search().lines:
        assert found.line in truth().lines[found.key]


def check_export(shop: Book) -> None:
    told, true = shop.export().splitlines(), truth().export.splitlines()
    assert set(told) <= set(true)
    assert told == true or shop.damaged


@pytest.mark.parametrize("seed", range(10))
def test_damaged_bytes_of_a_file(tmp_path: Path, seed: int) -> None:
    draw = random.Random(seed)
    content = truth().file.read_bytes()
    for number in range(20):
        file = tmp_path / f"{number}.sqlite"
        file.write_bytes(damage(content, draw))
        check_book(file)


@pytest.mark.parametrize("seed", range(5))
def test_changed_cells(tmp_path: Path, seed: int) -> None:
    draw = random.Random(seed)
    for number in range(20):
        file = copied(tmp_path / f"{number}.sqlite")
        change_a_figure(file, draw)
        if file.read_bytes() != truth().file.read_bytes():
            check_book(file)


@pytest.mark.parametrize("seed", range(10))
def test_damaged_exports(tmp_path: Path, seed: int) -> None:
    draw = random.Random(seed)
    content, true = truth().export.encode(), set(truth().export.splitlines())
    for number in range(20):
        text = damage(content, draw).decode("utf-8", "replace")
        with book.open(str(tmp_path / f"{number}.sqlite")) as shop:
            try:
                shop.import_(text.splitlines(keepends=True))
            except InputError as error:
                assert str(error).isprintable()
            assert set(shop.export().splitlines()) <= true
            assert not shop.damaged


def changed(file: Path, statement: str) -> None:
    """Change the tables of a book behind its back."""
    raw = sqlite3.connect(file)
    raw.execute(statement)
    raw.commit()
    raw.close()


FIGURE = "UPDATE fitsolver_entry SET content = replace(content, 'P-2', 'P-7') WHERE kind = 'fitted'"


def test_the_command_names_what_is_damaged(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    run = runner(monkeypatch, capsys)
    file = copied(tmp_path / "book.sqlite")
    sound = run("book", "check", "--book", file)
    assert (sound.code, sound.err) == (0, "") and "Damaged: 0." in sound.out
    changed(file, FIGURE)
    history = run("book", "history", MARKINGS[2], "--book", file)
    assert history.code == 0 and "P-7" not in history.out
    assert "is damaged and left out: this entry was changed" in " ".join(history.out.split())
    export = run("book", "export", tmp_path / "e.jsonl", "--book", file)
    assert export.code == 3 and export.err.count("is damaged and left out") == 3
    lines = (tmp_path / "e.jsonl").read_text(encoding="utf-8").splitlines()
    assert len(lines) == len(truth().export.splitlines()) - 3
    check = run("book", "check", "--book", file)
    assert check.code == 3 and "Damaged: 3." in check.out and "export" in check.out
    found = run("book", "search", "saw", "--book", file)
    assert found.code == 0 and "is damaged" in found.out and "P-7" not in found.out


def test_a_good_export_mends(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    run = runner(monkeypatch, capsys)
    file, good = copied(tmp_path / "book.sqlite"), tmp_path / "good.jsonl"
    good.write_text(truth().export, encoding="utf-8")
    changed(file, FIGURE)
    changed(file, "UPDATE fitsolver_line SET words = 'nothing' WHERE rowid = 3")
    done = run("book", "import", good, "--book", file)
    assert (done.code, done.err) == (0, "") and "Mended: 4." in done.out
    assert run("book", "check", "--book", file).code == 0
    with book.open(str(file)) as shop:
        assert shop.export() == truth().export
        assert shop.history(MARKINGS[0]) == truth().histories[MARKINGS[0]]


@pytest.mark.parametrize(
    "statement",
    [
        FIGURE,
        "UPDATE fitsolver_entry SET content = '{' WHERE kind = 'job'",
        "UPDATE fitsolver_entry SET date = '2031-01-01' WHERE kind = 'job'",
        "UPDATE fitsolver_entry SET withdraws = NULL, kind = 'pass' WHERE kind = 'withdrawal'",
    ],
)
def test_nothing_is_written_by_what_is_damaged(tmp_path: Path, statement: str) -> None:
    file = copied(tmp_path / "book.sqlite")
    changed(file, statement)
    day = DAY + dt.timedelta(days=4000)
    with book.open(str(file)) as shop:
        before = len(shop.export())
        with pytest.raises(InputError, match="is damaged"):
            shop.add_passes(job(cylinder(MARKINGS[2])), [strokes(5)], date=day)
        assert len(shop.export()) == before


def test_damage_of_one_cylinder_leaves_the_others(tmp_path: Path) -> None:
    file = copied(tmp_path / "book.sqlite")
    changed(file, f"{FIGURE} AND key IN (SELECT entry FROM fitsolver_line WHERE marking = 'saw 3')")
    with book.open(str(file)) as shop:
        for marking in MARKINGS[:2]:
            assert shop.history(marking) == truth().histories[marking]
        told = shop.history("saw 3")
        assert told.wear is None and len(told.visits) == 4
        assert shop.damaged


def test_the_page_names_what_is_damaged(tmp_path: Path) -> None:
    from tests.page.serving import asked

    file = copied(tmp_path / "book.sqlite")
    changed(file, FIGURE)
    with asked(tmp_path / "page", book=str(file)) as client:
        for path in ("/book", "/book/cylinder?marking=saw%203"):
            answer = client.get(path)
            assert answer.status_code == 200 and "is damaged and left out" in answer.text


def test_changed_content_on_a_server(server: str) -> None:
    with book.open(server) as shop:
        fill(shop)
        assert shop.check().sound
    place = connect(find(server), create=False)
    with place.writing() as connection:
        connection.exec_driver_sql(FIGURE)
    with book.open(server) as shop:
        assert "P-7" not in shop.history(MARKINGS[2]).model_dump_json()
        assert len(shop.damaged) == 1
        assert len(shop.check().damaged) == 3
        shop.import_(truth().export.splitlines())
        assert shop.check().sound
