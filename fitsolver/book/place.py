"""Where a book is, and a connection to it: a SQLite file, or a PostgreSQL server by its URL."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError
from sqlalchemy.pool import NullPool

from fitsolver.base.errors import InputError
from fitsolver.book.refusals import refusal

VARIABLE: Final = "FITSOLVER_BOOK"
_HEADER: Final = b"SQLite format 3\0"
_KINDS: Final = {"sqlite": "sqlite", "postgresql": "postgresql+psycopg"}
_ALLOWED: Final = "a file, or a URL as postgresql://user@host/name"
#: How long a writer waits for the others (seconds).
_PATIENCE: Final = 30
#: One lock for all writers of a PostgreSQL book; any number that is always the same.
_WRITERS: Final = 4_162_026_110


@dataclass(frozen=True)
class Where:
    """A place: its URL, and its file where it is one. `ours` is the user's own data folder."""

    url: URL
    file: Path | None = None
    ours: bool = False

    @property
    def name(self) -> str:
        """The place as it may be shown: a password is left out."""
        return str(self.file) if self.file else self.url.render_as_string(hide_password=True)


@dataclass(frozen=True)
class Store:
    """A place open for reading and writing; every use is one transaction."""

    where: Where
    engine: Engine
    read_only: bool = False

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A transaction that sees the book as it is at one moment."""
        with self._connected("REPEATABLE READ") as connection, connection.begin():
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A transaction that no other writer overlaps; an error undoes all of it."""
        if self.read_only:
            raise InputError("this book can only be read", file=self.where.name)
        # The transaction waits for the lock before its first read, so that it sees the result of
        # the previous writer.
        with self._connected("READ COMMITTED", writes=True) as connection, connection.begin():
            if not self.where.file:
                connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_WRITERS})")
            yield connection

    @contextmanager
    def _connected(self, isolation: str, *, writes: bool = False) -> Iterator[Connection]:
        try:
            with self.engine.connect() as connection:
                options: dict[str, Any] = {"writes": writes}
                if not self.where.file:
                    options["isolation_level"] = isolation
                yield connection.execution_options(**options)
        except (DBAPIError, UnicodeError, OverflowError) as error:
            raise refusal(error, self.where.name) from error


def find(place: str | None = None) -> Where:
    """Return the named place, else that of the environment, else the user's own."""
    place = place or os.environ.get(VARIABLE)
    if not place:
        from platformdirs import user_data_path

        return _file(user_data_path("fitsolver", appauthor=False) / "book.sqlite", ours=True)
    if "://" not in place:
        return _file(Path(place).expanduser())
    try:
        url = make_url(place)
        kind = _KINDS[url.get_backend_name()]
    except (ArgumentError, KeyError, ValueError) as error:
        raise InputError(
            "this is no place for a book",
            field="book",
            found=_without_secret(place),
            allowed=_ALLOWED,
        ) from error
    if kind == "sqlite":
        if not url.database or url.database.startswith(":") or url.query:
            raise InputError("this URL names no file", field="book", allowed=_ALLOWED)
        return _file(Path(url.database))
    return Where(url.set(drivername=kind))


def connect(where: Where, *, create: bool) -> Store:
    """Return a place ready to be used; InputError where it cannot be. Nothing is written yet."""
    if where.file is None:
        return _server(where)
    _check_file(where, where.file, create)
    read_only = where.file.exists() and not os.access(where.file, os.W_OK)
    return Store(where, _sqlite(where.file, read_only), read_only)


def _file(file: Path, *, ours: bool = False) -> Where:
    return Where(URL.create("sqlite", database=str(file)), file, ours)


def _without_secret(place: str) -> str:
    scheme, _, rest = place.partition("://")
    return f"{scheme}://{rest.rpartition('@')[2]}"


def _check_file(where: Where, file: Path, create: bool) -> None:
    """Look at a file before the database library does; it is not touched."""
    try:
        if file.is_dir():
            raise InputError("this is a folder", file=str(file), allowed="a book, or a new file")
        if not file.exists():
            if not create:
                raise InputError(
                    "there is no book here yet", file=str(file), allowed="`fitsolver book add JOB`"
                )
            if where.ours:
                file.parent.mkdir(parents=True, exist_ok=True)
            if not file.parent.is_dir():
                raise InputError("there is no such folder", file=str(file.parent))
            return
        if not file.is_file():
            raise InputError("this is not a plain file", file=str(file), allowed="a book")
        with file.open("rb") as stream:
            head = stream.read(len(_HEADER))
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise InputError(f"this book cannot be opened ({reason})", file=str(file)) from error
    if head and head != _HEADER:
        raise InputError("this is no book: not a SQLite file", file=str(file))


def _sqlite(file: Path, read_only: bool) -> Engine:
    path = file.absolute().as_uri()
    if read_only:
        # A file without a writer: without its side files it is read as it stands.
        beside = file.with_name(file.name + "-wal")
        alone = not os.access(file.parent, os.W_OK) and not beside.exists()
        path += "?immutable=1" if alone else "?mode=ro"

    def opened() -> Any:
        import sqlite3

        return sqlite3.connect(
            path, timeout=_PATIENCE, uri=True, isolation_level=None, check_same_thread=False
        )

    engine = create_engine("sqlite://", creator=opened, poolclass=NullPool)

    @event.listens_for(engine, "connect")
    def _connected(raw: Any, _record: object) -> None:
        raw.execute("PRAGMA foreign_keys = ON")
        raw.execute("PRAGMA synchronous = FULL")  # a commit that was answered is on the disk

    @event.listens_for(engine, "begin")
    def _begun(connection: Connection) -> None:
        # A writer takes its lock at once: two writers that start by reading would deadlock.
        writes = connection.get_execution_options().get("writes")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _server(where: Where) -> Store:
    try:
        engine = create_engine(where.url, poolclass=NullPool)
    except ImportError as error:
        raise InputError(
            "a book on a PostgreSQL server needs psycopg",
            file=where.name,
            allowed='after `pip install "fitsolver[postgres]"`',
        ) from error
    return Store(where, engine)
