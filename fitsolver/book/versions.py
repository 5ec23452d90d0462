"""The version of a book: a new book is created, an old one migrated step by step, once.

Every step is one transaction with the count of the version, so that a book is never between
two. A newer book than this program knows is left alone.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import suppress
from typing import Any, Final

from sqlalchemy import Connection, insert, inspect, select, update

from fitsolver.base.errors import InputError
from fitsolver.book.place import Store
from fitsolver.book.tables import BOOK, METADATA

Step = Callable[[Connection], None]

VERSION: Final = 1
#: The migration from the previous version to this one. A step is never changed once released:
#: it writes its own SQL, for `tables` are those of the newest version.
STEPS: Final[dict[int, Step]] = {}


def make_ready(store: Store, *, create: bool) -> None:
    """Create a missing book, or migrate an old one.

    Raises InputError for a newer book, for another program's database, and for a missing book that
    may not be created.
    """
    with store.reading() as connection:
        version = _version(connection, store)
    if version is None and not create:
        raise InputError(
            "there is no book here yet",
            file=store.where.name,
            allowed="`fitsolver book add JOB`",
        )
    if version == VERSION:
        return
    if store.where.file and not store.read_only:
        _write_ahead(store)
    with store.writing() as connection:
        # Another program may have done it meanwhile: what counts is what is there now.
        _bring_up(connection, _version(connection, store))


def _bring_up(connection: Connection, version: int | None) -> None:
    if version is None:
        METADATA.create_all(connection)
        connection.execute(insert(BOOK).values(version=VERSION))
        return
    for number in range(version + 1, VERSION + 1):
        STEPS[number](connection)
        connection.execute(update(BOOK).values(version=number))


def _version(connection: Connection, store: Store) -> int | None:
    """Return the version of the book; None where nothing at all is there yet."""
    tables = inspect(connection).get_table_names()
    if BOOK.name not in tables:
        if tables and store.where.file:
            raise InputError("this SQLite file is no book", file=store.where.name)
        return None
    version = connection.execute(select(BOOK.c.version)).scalar()
    if not isinstance(version, int) or version < 1:
        raise InputError("this book does not tell its version", file=store.where.name)
    if version > VERSION:
        raise InputError(
            "this book was written by a newer program",
            file=store.where.name,
            field="version",
            found=version,
            allowed=f"up to {VERSION}",
        )
    return version


def _write_ahead(store: Store) -> None:
    """Keep readers and a writer from waiting for each other; the file remembers it.

    If another program holds the file, it is setting the same mode, so a failure here does not
    matter. The next transaction refuses a file that cannot be written.
    """
    with suppress(sqlite3.Error), store.engine.connect() as connection:
        raw: Any = connection.connection.dbapi_connection
        raw.execute("PRAGMA journal_mode = WAL")
