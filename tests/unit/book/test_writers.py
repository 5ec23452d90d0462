"""Processes that write at once, and processes that are killed: nothing is lost, nothing is half.

The children are forked, so that hundreds of them cost little. A child tells the key of an
entry once the book has answered; the parent then holds the book to it.
"""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import time
from collections import Counter, defaultdict
from collections.abc import Callable
from functools import partial
from itertools import count
from pathlib import Path

import pytest
from sqlalchemy import select

from fitsolver import book
from fitsolver.base.errors import InputError
from fitsolver.book.entries import check_entry
from fitsolver.book.finding import all_entries
from fitsolver.book.place import connect, find
from fitsolver.book.tables import LINE
from fitsolver.book.verifying import Damages

from .forked import Tell, child, told
from .made import BORE, DAY, cylinder, job, strokes

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are forked here")

KILLS, SERVER_KILLS = 240, 60


def jobs(place: str, name: str, count: int, tell: Tell) -> None:
    """Add `count` jobs of two cylinders each."""
    with book.open(place) as shop:
        for number in range(count):
            pair = [cylinder(f"{name} {side}", BORE + number) for side in ("left", "right")]
            tell(shop.add_job(job(*pair), date=DAY).entry.key)


def check_whole(place: str, keys: set[str]) -> None:
    """Hold a book to the keys that it answered: all there, every entry whole, two lines each."""
    with connect(find(place), create=False).reading() as connection:
        damages = Damages()
        entries = all_entries(connection, damages)
        lines = Counter(connection.execute(select(LINE.c.entry)).scalars())
    assert not damages
    for entry in entries:
        check_entry(entry)
        assert lines.pop(entry.key, 0) == len(entry.lines) == 2
    assert not lines
    lost = keys - {entry.key for entry in entries}
    assert not lost, f"{len(lost)} of {len(keys)} answered entries are lost"
    if "://" not in place:
        raw = sqlite3.connect(place)
        assert raw.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        raw.close()


def test_processes_that_write_at_once_lose_nothing(place: str) -> None:
    # They begin the book at once, too.
    started = [child(partial(jobs, place, f"shop {number}", 25)) for number in range(4)]
    keys = [key for _, stream in started for key in told(stream)]
    assert [os.waitpid(pid, 0)[1] for pid, _ in started] == [0] * 4
    assert len(set(keys)) == len(keys) == 100
    check_whole(place, set(keys))


def test_the_same_pass_from_two_processes_is_one(place: str) -> None:
    """Four enter the same log, four another one: one log wins, whole, and is there once."""
    with book.open(place) as shop:
        shop.add_job(job(), date=DAY)

    def enter(first: int) -> Callable[[Tell], None]:
        def work(tell: Tell) -> None:
            with book.open(place) as shop:
                try:
                    for item in shop.add_passes(job(), [strokes(first), strokes(2)], date=DAY):
                        tell(item.entry.key)
                except InputError:
                    tell("refused")

        return work

    started = [child(enter(1 + number % 2)) for number in range(8)]
    answers = [tuple(told(stream)) for _, stream in started]
    assert [os.waitpid(pid, 0)[1] for pid, _ in started] == [0] * 8
    assert len(set(answers)) == 2 and answers.count(("refused",)) == 4
    with book.open(place) as shop:
        assert shop.history("pump 7, left").visits[0].passes == 2


def kill_at_random(places: Callable[[], str], kills: int) -> None:
    """Kill so many writers, each a random while after a random number of answers.

    Those that are killed before any answer begin a book of their own. What is left is held
    against the answers after every kill.
    """
    draw = random.Random(20260301)
    place, answered = places(), defaultdict[str, set[str]](set)
    for number in range(kills):
        wanted = draw.randrange(3)
        place = places() if wanted == 0 else place
        pid, answers = child(partial(jobs, place, f"writer {number}", 10_000))
        keys = answered[place]
        keys |= {answers.readline().decode().strip() for _ in range(wanted)}
        time.sleep(draw.uniform(0, 0.03))
        os.kill(pid, signal.SIGKILL)
        assert os.waitpid(pid, 0)[1] == signal.SIGKILL
        keys |= set(told(answers))
        if keys:  # else the book may not even have been begun
            check_whole(place, keys)


def test_240_kills_of_a_file(tmp_path: Path) -> None:
    number = count()
    kill_at_random(lambda: str(tmp_path / f"book{next(number)}.sqlite"), KILLS)


def test_kills_of_writers_to_a_server(server: str) -> None:
    kill_at_random(lambda: server, SERVER_KILLS)
