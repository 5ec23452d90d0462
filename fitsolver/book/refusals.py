"""A database error as a single message that a user can act on."""

from __future__ import annotations

from typing import Final

from fitsolver.base.errors import InputError

#: SQLite error texts, and their meaning here.
_MEANINGS: Final = {
    "not a database": "this is no book: not a SQLite file",
    "malformed": "this book is damaged; export what can be read, or restore a copy",
    "readonly": "this book can only be read",
    "read-only": "this book can only be read",
    "locked": "another program has been writing into this book for too long; try again",
    "busy": "another program has been writing into this book for too long; try again",
    "disk is full": "the disk is full; nothing was written",
    "unable to open": "this book cannot be opened: no permission, or no such folder",
    "permission denied": "this book may not be used by this user",
    "password": "the server does not accept this user or password",
    "does not exist": "the server does not know this database or user",
    "connection": "the server does not answer",
    "could not translate host": "there is no such server",
}


def refusal(error: Exception, place: str) -> InputError:
    """Return the refusal for a database error; it keeps the first line of the error text."""
    said = str(getattr(error, "orig", None) or error).strip().partition("\n")[0]
    for words, meaning in _MEANINGS.items():
        if words in said.lower():
            return InputError(f"{meaning} ({said})", file=place)
    return InputError(f"this book cannot be used ({said})", file=place)
