"""A check of the whole book: every entry, and the columns and indexes derived from it.

A damaged SQLite file is read entry by entry, past unreadable pages.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from typing import Any

from sqlalchemy import ColumnElement, Connection, select
from sqlalchemy.exc import DatabaseError

from fitsolver.book.entries import words_of
from fitsolver.book.finding import all_entries, withdrawn
from fitsolver.book.place import Store
from fitsolver.book.tables import CYLINDER, ENTRY, LINE
from fitsolver.book.verifying import COLUMNS, Damages, verified
from fitsolver.records.book import BookEntry

_INDEX = "its index is not what its content says"


def readable(connection: Connection, store: Store, damages: Damages) -> list[BookEntry]:
    """Return every whole entry that can be read; the others are noted."""
    try:
        entries = all_entries(connection, damages)
    except DatabaseError:
        if not store.where.file:
            raise
        entries = list(_one_by_one(connection, damages))
    there = {entry.key for entry in entries}
    for key in {key for e in entries for key in (e.job, e.withdraws) if key is not None} - there:
        damages.add(key, "it cannot be read, and another entry belongs to it")
    for key in _keys(connection, LINE.c.entry) - there:
        damages.add(key, "it cannot be read, and the index has it")
    return entries


def look_through(store: Store, damages: Damages) -> tuple[int, list[str]]:
    """Return the number of whole entries, and the faults of the file itself."""
    with store.reading() as connection:
        wrong = _integrity(connection) if store.where.file else []
        entries = readable(connection, store, damages)
        if wrong:
            with suppress(DatabaseError):
                check_indexes(connection, entries, damages)
        else:
            check_indexes(connection, entries, damages)
    return len(entries), wrong


def _one_by_one(connection: Connection, damages: Damages) -> Iterator[BookEntry]:
    columns = (ENTRY.c.key, ENTRY.c.job, ENTRY.c.withdraws, LINE.c.entry)
    for key in sorted(set().union(*(_keys(connection, column) for column in columns))):
        try:
            rows = connection.execute(select(*COLUMNS).where(ENTRY.c.key == key)).all()
        except DatabaseError:
            damages.add(key, "the file is damaged where it lies")
        else:
            yield from verified(rows, damages)


def _keys(connection: Connection, column: ColumnElement[Any]) -> set[str]:
    """Return the readable keys of a column."""
    found = set()
    with suppress(DatabaseError):
        for key in connection.execute(select(column)).scalars():
            found.add(key)
    return {key for key in found if isinstance(key, str)}


def _integrity(connection: Connection) -> list[str]:
    """Return what SQLite itself finds wrong in its file."""
    try:
        found = connection.exec_driver_sql("PRAGMA integrity_check(20)").scalars().all()
    except DatabaseError as error:
        return [str(error.orig)]
    return [str(line) for line in found if line != "ok"]


def check_indexes(connection: Connection, entries: list[BookEntry], damages: Damages) -> None:
    """Note the entries whose index lines disagree with their content."""
    names = ("entry", "marking", "date", "smallest", "largest", "words")
    rows = connection.execute(select(*(LINE.c[name] for name in names)))
    there = Counter(tuple(row) for row in rows)
    known = set(connection.execute(select(CYLINDER.c.marking)).scalars())
    for entry in entries:
        for line in entry.lines:
            day = entry.date.isoformat()
            sizes = (line.smallest, line.largest, words_of(entry, line))
            one = (entry.key, line.marking, day, *sizes)
            if there.pop(one, 0) != 1 or line.marking not in known:
                damages.add(entry.key, _INDEX)
    for row in there:
        damages.add(row[0], _INDEX)
    withdrawn(connection, damages)
