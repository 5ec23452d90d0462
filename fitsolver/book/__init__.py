"""The book: the records of all cylinders ever worked on, in one database.

    from datetime import date
    from fitsolver import book

    with book.open("shop.sqlite") as shop:
        shop.add_job(job, answer, date=date(2026, 3, 1))

The database library is loaded when a book is opened.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fitsolver.book.book import Book

__all__ = ["open"]


def open(place: str | None = None, *, create: bool = True) -> Book:
    """Open the book in a file or at a PostgreSQL URL, bringing one of an older version up.

    The default `place` is the one named by the environment variable FITSOLVER_BOOK, else the file
    in the user's data folder. `create` makes a new book if none exists. Raises InputError without a
    book to open, for a file that is not a book, and for a book of a newer version.
    """
    from fitsolver.book.book import Book
    from fitsolver.book.place import connect, find
    from fitsolver.book.versions import make_ready

    where = find(place)
    store = connect(where, create=create)
    make_ready(store, create=create)
    return Book(store)
