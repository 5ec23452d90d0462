"""Every test of a book runs on a SQLite file, and on a PostgreSQL server where one is named."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from uuid import uuid4

import pytest

from fitsolver import book
from fitsolver.book.book import Book

#: URL of a server whose database the tests may use; each test makes a schema of its own in it.
SERVER = "FITSOLVER_TEST_POSTGRES"


@pytest.fixture
def file(tmp_path: Path) -> str:
    """A place for a SQLite book."""
    return str(tmp_path / "book.sqlite")


@pytest.fixture
def server() -> Iterator[str]:
    """A place for a book on the server, gone afterwards."""
    url = os.environ.get(SERVER)
    if not url:
        pytest.skip(f"no PostgreSQL server: {SERVER} names none")
    from sqlalchemy import create_engine, make_url

    schema = f"book_{uuid4().hex}"
    engine = create_engine(make_url(url).set(drivername="postgresql+psycopg"))
    with engine.begin() as connection:
        connection.exec_driver_sql(f"CREATE SCHEMA {schema}")
    yield f"{url}{'&' if '?' in url else '?'}options=-csearch_path%3D{schema}"
    with engine.begin() as connection:
        connection.exec_driver_sql(f"DROP SCHEMA {schema} CASCADE")
    engine.dispose()


@pytest.fixture(params=["file", "server"])
def place(request: pytest.FixtureRequest) -> str:
    """A place for a book, of both kinds."""
    found: str = request.getfixturevalue(request.param)
    return found


@pytest.fixture
def shop(place: str) -> Iterator[Book]:
    """An empty book."""
    with book.open(place) as opened:
        yield opened
